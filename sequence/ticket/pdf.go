package ticket

import (
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// family is the name under which the fonts go in a PDF.
const family = "go"

// lostGlyph stands in a print for a character that its fonts do not have.
const lostGlyph = '□'

// writePDF writes sheets as pages. The same sheets and date give the same bytes.
func writePDF(w io.Writer, at time.Time, title string, sheets []*sheet) error {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: sheets[0].w, Ht: sheets[0].h}})
	f.SetCatalogSort(true)
	f.SetCreationDate(at.UTC())
	f.SetModificationDate(at.UTC())
	f.SetProducer("pullcard", false)
	f.SetTitle(title, true)
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.AddUTF8FontFromBytes(family, "", goregular.TTF)
	f.AddUTF8FontFromBytes(family, "B", gobold.TTF)
	for _, s := range sheets {
		f.AddPageFormat("P", fpdf.SizeType{Wd: s.w, Ht: s.h})
		for _, m := range s.marks {
			m.pdf(f)
		}
	}
	if err := f.Output(w); err != nil {
		return fmt.Errorf("write the PDF: %w", err)
	}
	return nil
}

func (s stroke) pdf(f *fpdf.Fpdf) {
	f.SetLineCapStyle("butt")
	f.SetLineJoinStyle("round")
	f.SetLineWidth(s.width)
	f.SetDrawColor(s.ink[0], s.ink[1], s.ink[2])
	f.MoveTo(s.points[0].X, s.points[0].Y)
	for _, p := range s.points[1:] {
		f.LineTo(p.X, p.Y)
	}
	if s.closed {
		f.ClosePath()
	}
	f.DrawPath("D")
}

func (d dot) pdf(f *fpdf.Fpdf) {
	f.SetFillColor(d.ink[0], d.ink[1], d.ink[2])
	f.Circle(d.at.X, d.at.Y, d.radius, "F")
}

func (w words) pdf(f *fpdf.Fpdf) {
	weight := ""
	if w.style.bold {
		weight = "B"
	}
	f.SetFont(family, weight, w.style.size)
	f.SetTextColor(w.style.ink[0], w.style.ink[1], w.style.ink[2])
	x := w.at.X
	switch w.anchor {
	case middle:
		x -= f.GetStringWidth(w.text) / 2
	case end:
		x -= f.GetStringWidth(w.text)
	}
	f.Text(x, w.at.Y, w.text)
}
