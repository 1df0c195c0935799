// Package edition makes a published comparison of lamps: dated and numbered,
// with the terms, the ranking and what of it is real, every number with how it
// was made, what a fair comparison must state (gaps shown as missing), what
// sellers claim, interests, corrections of earlier numbers, and short answers
// that can be quoted alone. One document in reading order becomes a page that
// needs nothing else, a PDF, a table and data.
//
// Addresses inside stay the same from number to number: #ranking, #lamp-ID,
// #lamp-ID-KEY, #answer-ID.
package edition
