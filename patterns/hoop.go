package patterns

import (
	"math"

	"pullcard/patterns/measure"
	"pullcard/patterns/source"
)

// AreaCM2 is the area inside the hoop in cm²: 4ab·Γ(1+1/n)²/Γ(1+2/n) with the half axes a and b and the exponent n,
// the area of a superellipse.
func (h Hoop) AreaCM2() float64 {
	g := math.Gamma(1 + 1/h.Exponent)
	return 4 * (h.LengthMM / 2) * (h.WidthMM / 2) * g * g / math.Gamma(1+2/h.Exponent) / 100
}

// hoop reads the size of the hoop and warns where the sport's rules forbid it.
func (l *Layout) hoop(f *Frame) {
	f.HoopAt = source.Pos{Line: 1, Col: 1}
	if l.HoopTable == nil {
		return
	}
	f.HoopAt = l.HoopTable.Pos()
	length, okL := l.length("length", `"330 mm"`, l.HoopLength)
	width, okW := l.length("width", `"250 mm"`, l.HoopWidth)
	h := &Hoop{length, width, 2}
	if s := l.HoopShape; s.Given {
		h.Exponent = s.Value
		if s.Value < 1.5 || s.Value > 6 {
			l.doc.Problem(s.Pos, "hoop.shape is %g; write the exponent of the superellipse, 1.5 to 6, 2.0 for an ellipse", s.Value)
			return
		}
	}
	if okL && okW {
		f.Hoop = h
		l.legal(f.Sport, *h)
	}
}

func (l *Layout) length(key, example string, t source.Text) (float64, bool) {
	if !t.Given {
		if !l.HoopTable.Has(key) {
			l.HoopTable.Missing(key, example)
		}
		return 0, false
	}
	mm, err := measure.ParseLength(t.Value)
	if err == nil && (mm < 50 || mm > 1000) {
		l.doc.Problem(t.Pos, "hoop.%s is %q; the inside of a hoop measures 50 to 1000 mm", key, t.Value)
		return 0, false
	}
	if err != nil {
		l.doc.Problem(t.Pos, "hoop.%s: %v", key, err)
	}
	return mm, err == nil
}

// legal warns of a hoop that the sport's rules forbid.
// Sources: ITF Rules of Tennis, Appendix II (hitting surface at most 394 mm long and 292 mm wide); BWF Laws of
// Badminton, Law 4 (strung area at most 280 mm long, 330 mm with the throat, and 220 mm wide); WSF squash racket
// specification (strings at most 390 mm, strung area at most 500 cm²); USA Racquetball rule 2.4 (racket at most
// 22 in overall, so the hoop cannot be longer).
func (l *Layout) legal(sport Sport, h Hoop) {
	limit := func(at source.Pos, what string, is, most float64, unit, rule string) {
		if is > most {
			l.doc.Warn(at, "the %s is %.4g %s; %s allows at most %.4g %s", what, is, unit, rule, most, unit)
		}
	}
	length, width := l.HoopLength.Pos, l.HoopWidth.Pos
	switch sport {
	case Tennis:
		limit(length, "hoop's length", h.LengthMM, 394, "mm", "the ITF's Appendix II")
		limit(width, "hoop's width", h.WidthMM, 292, "mm", "the ITF's Appendix II")
	case Badminton:
		limit(length, "hoop's length, throat included,", h.LengthMM, 330, "mm", "the BWF's Law 4")
		limit(width, "hoop's width", h.WidthMM, 220, "mm", "the BWF's Law 4")
	case Squash:
		limit(length, "hoop's length", h.LengthMM, 390, "mm", "the WSF's specification")
		limit(length, "strung area", h.AreaCM2(), 500, "cm²", "the WSF's specification")
	case Racquetball:
		limit(length, "hoop's length", h.LengthMM, 558.8, "mm", "rule 2.4 of USA Racquetball")
	}
}
