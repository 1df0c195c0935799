// Package web is the page: Dawnsmith in a browser on the owner's own machine.
//
// Everything is made here, on the server: HTML from templates, pictures as SVG
// inside it. A page works without script; the few modules under ui/ only make
// it quicker, by fetching the parts of a page that changed ("blocks") in place
// of the whole. Nothing is ever fetched from elsewhere.
//
// A state of a page is its address: the document's name and, as a query, what
// differs from the file. Reading never changes anything; what changes files is
// a POST, refused unless it comes from the page itself.
//
// The server listens on the loopback interface only and answers only to its
// own names, so that another site cannot reach it through the browser.
package web
