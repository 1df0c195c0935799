package buildpack

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html"
	"io"

	"dawnsmith/paper/draw"
	"dawnsmith/paper/internal/script"
)

// HTML writes the pack as one file that needs nothing else: the same words and
// pictures as on paper, the pictures as SVG. Drawings at true scale keep their
// millimetres when the browser prints without scaling.
func (p *Pack) HTML(w io.Writer) error {
	var b bytes.Buffer
	var css bytes.Buffer
	if err := draw.CSS(&css); err != nil {
		return fmt.Errorf("build pack: %w", err)
	}
	title := html.EscapeString(p.kind() + ": " + p.title())
	fmt.Fprintf(&b, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>%s</title>\n<style>\n%s%s</style>\n</head>\n<body>\n<main>\n", title, css.String(), script.CSS)
	if err := p.text.HTML(&b); err != nil {
		return err
	}
	for _, a := range p.in.Files {
		fmt.Fprintf(&b, "<p>Attached: <a download=\"%s\" href=\"data:text/plain;charset=utf-8;base64,%s\">%s</a>, %s.</p>\n", html.EscapeString(a.Name), base64.StdEncoding.EncodeToString(a.Data), html.EscapeString(a.Name), html.EscapeString(a.Text))
	}
	fmt.Fprintf(&b, "<footer>Made by Dawnsmith on %s. Local codes, licensed electricians and clinicians come first.</footer>\n</main>\n</body>\n</html>\n", html.EscapeString(p.date()))
	_, err := w.Write(b.Bytes())
	return err
}
