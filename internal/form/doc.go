// Package form stands between a document and the fields in which people change
// it: text in, text out, one field at a time, and the whole of what was changed
// as an address.
//
// A State is a document as it was opened (the base), the same document after
// some fields were changed, and what was typed but not understood. Its address
// holds only what differs, so that every state of a page has one, and going
// back is going to the one before. A field whose text makes no sense keeps the
// last value that did; the rest is computed from that.
package form
