package script

import (
	"bytes"
	"fmt"
	"html"
	"strings"

	"dawnsmith/paper/draw"
)

// CSS styles what HTML writes, on top of the rules of draw.CSS.
const CSS = `body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.5 "DejaVu Sans",system-ui,sans-serif}
main{max-width:54rem;margin:0 auto;padding:1.5rem}
h1{font-size:1.7rem;line-height:1.25}
h2{font-size:1.3rem;margin-top:2.5rem;border-bottom:1px solid var(--faint);padding-bottom:.2rem}
h3{font-size:1.05rem;margin-top:1.6rem}
table{border-collapse:collapse;margin:1rem 0;font-size:.9rem}
th,td{padding:.25rem .6rem;text-align:left;vertical-align:top;border-bottom:1px solid var(--faint)}
th{border-bottom:1px solid var(--ink)}
td.r,th.r{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}
tr.rule td{border-top:1px solid var(--ink)}
tr.bold td{font-weight:bold}
.wide{overflow-x:auto}
figure{margin:1rem 0}
figure svg{max-width:100%}
figure.true svg{max-width:none}
figcaption,.note{color:var(--soft);font-size:.85rem}
.caution{border-left:.35rem solid var(--warn);padding:.1rem 0 .1rem .9rem;margin:1rem 0}
.caution b{color:var(--warn)}
.step,.hold{display:flex;gap:.7rem;margin:.5rem 0}
.step>b{min-width:2.4rem;color:var(--accent)}
.hold{border:1px solid var(--ink);padding:.5rem .7rem;margin-bottom:0}
.ifnot{border:1px solid var(--ink);border-top:0;margin:0 0 .8rem;padding:.4rem .7rem .5rem 2.5rem}
input[type=checkbox]{width:1.1rem;height:1.1rem;flex:none;margin-top:.25rem}
footer{margin-top:3rem;color:var(--soft);font-size:.85rem}
@media print{main{max-width:none;padding:0}h2{break-before:page}figure,tr,.hold,.caution{break-inside:avoid}@page{margin:15mm}}
`

// HTML writes the blocks in order, as the inside of a page that carries CSS.
func (s Script) HTML(b *bytes.Buffer) error {
	e := html.EscapeString
	lists := false
	pictures := 0
	for _, k := range s {
		if lists != (k.Kind == Bullet) {
			lists = !lists
			if lists {
				b.WriteString("<ul>\n")
			} else {
				b.WriteString("</ul>\n")
			}
		}
		id := ""
		if k.ID != "" {
			id = " id=\"" + e(k.ID) + "\""
		}
		switch k.Kind {
		case Heading:
			n := k.Level + 1
			fmt.Fprintf(b, "<h%d%s>%s</h%d>\n", n, id, e(k.Text), n)
		case Paragraph:
			fmt.Fprintf(b, "<p%s>%s</p>\n", id, e(k.Text))
		case Note:
			fmt.Fprintf(b, "<p class=\"note\">%s</p>\n", e(k.Text))
		case Bullet:
			fmt.Fprintf(b, "<li>%s</li>\n", e(k.Text))
		case Check:
			fmt.Fprintf(b, "<label class=\"hold\"><input type=\"checkbox\"><span><b>%s</b> %s</span></label>\n", e(k.Lead), e(k.Text))
		case IfNot:
			fmt.Fprintf(b, "<p class=\"ifnot\"><b>%s</b> %s</p>\n", e(k.Lead), e(k.Text))
		case Step:
			fmt.Fprintf(b, "<div class=\"step\"><b>%s</b><span>%s</span></div>\n", e(k.Lead), e(k.Text))
		case Caution:
			fmt.Fprintf(b, "<div class=\"caution\"><b>%s</b><br>%s</div>\n", e(k.Lead), e(k.Text))
		case Table:
			htmlTable(b, k.Table, k.RowIDs)
		case Figure, Fit, Sheets:
			class := ""
			if k.Kind != Fit {
				class = " class=\"true\""
			}
			fmt.Fprintf(b, "<figure%s%s>\n", id, class)
			pictures++
			if err := draw.SVG(b, k.Scene, draw.SVGOptions{ID: fmt.Sprintf("p%d", pictures)}); err != nil {
				return fmt.Errorf("picture %q: %w", k.Scene.Title, err)
			}
			if k.Text != "" {
				fmt.Fprintf(b, "<figcaption>%s</figcaption>\n", e(k.Text))
			}
			b.WriteString("</figure>\n")
		}
	}
	if lists {
		b.WriteString("</ul>\n")
	}
	return nil
}

func htmlTable(b *bytes.Buffer, t draw.Table, ids []string) {
	e := html.EscapeString
	class := func(i int) string {
		if t.Columns[i].Align == draw.Right {
			return " class=\"r\""
		}
		return ""
	}
	b.WriteString("<div class=\"wide\"><table>\n<thead><tr>")
	if t.Boxes {
		b.WriteString("<th></th>")
	}
	for i, c := range t.Columns {
		fmt.Fprintf(b, "<th%s>%s</th>", class(i), e(c.Head))
	}
	b.WriteString("</tr></thead>\n<tbody>\n")
	for n, r := range t.Rows {
		var cs []string
		if r.Rule {
			cs = append(cs, "rule")
		}
		if r.Bold {
			cs = append(cs, "bold")
		}
		id := ""
		if n < len(ids) && ids[n] != "" {
			id = " id=\"" + e(ids[n]) + "\""
		}
		fmt.Fprintf(b, "<tr%s class=\"%s\">", id, strings.Join(cs, " "))
		if t.Boxes {
			b.WriteString("<td>")
			if !r.Rule {
				b.WriteString("<input type=\"checkbox\">")
			}
			b.WriteString("</td>")
		}
		for i, c := range r.Cells {
			fmt.Fprintf(b, "<td%s>%s</td>", class(i), e(c))
		}
		b.WriteString("</tr>\n")
	}
	b.WriteString("</tbody></table></div>\n")
}
