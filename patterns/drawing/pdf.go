package drawing

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

// pages is a PDF in the making.
type pages struct{ *fpdf.Fpdf }

// PDF writes sheets whose unit is a millimetre as pages, with the Go fonts in it: a character that these lack is a box. The
// same sheets and date give the same bytes.
func PDF(w io.Writer, at time.Time, title string, sheets []*Sheet) error {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: sheets[0].W, Ht: sheets[0].H}})
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
		f.AddPageFormat("P", fpdf.SizeType{Wd: s.W, Ht: s.H})
		for _, m := range s.Marks {
			m.pdf(&pages{f})
		}
	}
	if err := f.Output(w); err != nil {
		return fmt.Errorf("write the PDF: %w", err)
	}
	return nil
}

func (s Stroke) pdf(f *pages) {
	f.SetLineCapStyle("butt")
	f.SetLineJoinStyle("round")
	f.SetLineWidth(s.Width)
	if s.Dashed {
		f.SetDashPattern([]float64{6, 4}, 0)
		defer f.SetDashPattern(nil, 0)
	}
	f.SetDrawColor(s.Ink[0], s.Ink[1], s.Ink[2])
	f.MoveTo(s.Points[0].X, s.Points[0].Y)
	for _, p := range s.Points[1:] {
		f.LineTo(p.X, p.Y)
	}
	if s.Closed {
		f.ClosePath()
	}
	how := "D"
	if s.Blank {
		f.SetFillColor(0xff, 0xff, 0xff)
		how = "FD"
	}
	f.DrawPath(how)
}

func (d Dot) pdf(f *pages) {
	f.SetFillColor(d.Ink[0], d.Ink[1], d.Ink[2])
	f.Circle(d.At.X, d.At.Y, d.Radius, "F")
}

func (w Words) pdf(f *pages) {
	weight := ""
	if w.Bold {
		weight = "B"
	}
	f.SetFont(family, weight, w.Size/Point)
	f.SetTextColor(w.Ink[0], w.Ink[1], w.Ink[2])
	x := w.At.X
	switch w.Anchor {
	case Middle:
		x -= f.GetStringWidth(w.Text) / 2
	case End:
		x -= f.GetStringWidth(w.Text)
	}
	if w.Up {
		f.TransformBegin()
		defer f.TransformEnd()
		f.TransformRotate(90, w.At.X, w.At.Y)
	}
	f.Text(x, w.At.Y, w.Text)
}
