// Package shelf is a folder of documents: lamps and briefs as files that their
// owner may also edit by hand, with the built-in samples beside them.
//
// Nothing is ever lost: before a document is overwritten, the file as it stands
// is kept, byte for byte, in the folder "revisions" beside it; and a file that
// somebody else has changed since it was opened is not overwritten at all
// unless it is asked for.
package shelf
