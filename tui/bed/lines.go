package bed

import (
	"fmt"
	"strings"

	"pullcard/patterns/grid"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// page collects lines, wrapped to a width.
type page struct {
	screen.Look
	width int
	lines []string
}

func (p *page) add(r theme.Role, format string, args ...any) {
	p.lines = append(p.lines, p.Hang(r, "", theme.Clean(fmt.Sprintf(format, args...)), p.width)...)
}

func (p *page) head(text string) {
	if len(p.lines) > 0 {
		p.lines = append(p.lines, "")
	}
	p.add(theme.Title, "%s", text)
}

// lines are the numbers in the width that there is for them.
func (m Model) lines(width int) []string {
	p, s := &page{Look: m.Look, width: width}, m.sheet
	for text := range strings.SplitSeq(s.Trouble, "\n") {
		if text != "" {
			p.add(theme.Danger, "%s", text)
		}
	}
	if s.Lengths != nil {
		s.cut(p)
	}
	s.tension(p)
	if s.Bed != nil {
		if s.Lengths == nil {
			s.doubts(p, s.Bed.Doubts)
		}
		s.stiffness(p)
		s.choices(p)
		s.loads(p)
		s.assumed(p)
	}
	if len(s.Before) > 0 {
		p.head("BEFORE THE WORK")
		s.doubts(p, s.Before)
	}
	return p.lines
}

func (s *Sheet) cut(p *page) {
	p.head("CUT")
	for _, piece := range s.Lengths.Pieces {
		p.add(theme.Current, "%s %g mm, %s", piece.Name, piece.CutMM, grid.FeetInches(piece.CutMM))
		if piece.ShortMM*2 == piece.CutMM {
			p.add(theme.Text, "  each end %g mm, %s", piece.ShortMM, grid.FeetInches(piece.ShortMM))
		} else if piece.ShortMM > 0 {
			p.add(theme.Text, "  short end %g mm, %s", piece.ShortMM, grid.FeetInches(piece.ShortMM))
		}
	}
	for _, left := range s.Lengths.Left {
		p.add(theme.Text, "left on %s %.0f mm", left.Name, left.MM)
	}
	s.doubts(p, s.Lengths.Doubts)
}

func (s *Sheet) doubts(p *page, doubts []string) {
	for _, doubt := range doubts {
		p.add(theme.Warn, "! %s", doubt)
	}
}

func (s *Sheet) tension(p *page) {
	if len(s.Settings) > 0 {
		p.head("TENSION to set")
	}
	for _, t := range s.Settings {
		p.add(theme.Current, "%s: set %s", t.What, t.Set.Short())
		why := t.Why
		if t.Set.Short() != t.Ordered.Short() {
			why += "; it then pulls " + t.Ordered.Short()
		}
		p.add(theme.Text, "  %s; gauge %s", why, t.Gauge.Short())
	}
	for _, text := range s.Cautions {
		p.add(theme.Warn, "! %s", text)
	}
}

func (s *Sheet) stiffness(p *page) {
	f := s.Bed.Figures
	p.head("BED, as ordered, without losses")
	if s.Lengths != nil {
		p.add(theme.Quiet, "mains %.1f mm apart, crosses %.1f mm", s.Lengths.Grid.MainPitchMM, s.Lengths.Grid.CrossPitchMM)
	}
	p.add(theme.Current, "stiffness %.1f N/mm", float64(f.Stiffness))
	p.add(theme.Text, "  %.1f kgf/cm, %.0f lbf/in", f.Stiffness.KgfPerCm(), f.Stiffness.LbfPerIn())
	if s.Bed.Assumed.String == "" {
		p.add(theme.Current, "rings at %.0f Hz", f.Hz[0])
		p.add(theme.Text, "  then %s Hz", hertz(f.Hz[1:]))
	}
}

func (s *Sheet) choices(p *page) {
	p.head("CHOICES, under a ball, and how it rings")
	for _, c := range s.Bed.Choices[1:] {
		if c.Why != "" {
			p.add(theme.Quiet, "%s: not worked out", c.What)
			continue
		}
		p.add(theme.Text, "%s: %s, %s", c.What, differs(c.LoadedPercent, "stiffer", "softer"), differs(c.HzPercent, "higher", "lower"))
	}
}

// differs says a difference in words.
func differs(percent float64, more, less string) string {
	switch {
	case percent >= .05:
		return fmt.Sprintf("%.1f %% %s", percent, more)
	case percent <= -.05:
		return fmt.Sprintf("%.1f %% %s", -percent, less)
	}
	return "not " + more
}

func (s *Sheet) loads(p *page) {
	l := s.Bed.Loads
	p.head("LOADS WHILE STRINGING")
	p.add(theme.Text, "one side of the mains ahead by %.0f N, step %d", l.PeakSideNewtons, l.PeakSideStep)
	p.add(theme.Text, "mains without crosses %.0f N, %d steps", l.MainsAloneNewtons, l.MainsAloneSteps)
}

func (s *Sheet) assumed(p *page) {
	a := s.Bed.Assumed
	p.head("ASSUMED")
	if a.String != "" {
		p.add(theme.Text, "string: %s; it rings at %.0f Hz without losses", a.String, s.Bed.Figures.Hz[0])
	}
	p.add(theme.Text, "stiffness with %g %% lost %.1f N/mm; rings at %.0f Hz", a.Loss.Percent, float64(a.Figures.Stiffness), a.Figures.Hz[0])
	p.add(theme.Text, "stiffness under a ball, %.0f N on %.0f mm: %.1f to %.1f N/mm, crossings free to locked", a.Ball.ForceN, a.Ball.RadiusMM, float64(a.Loaded.Free), float64(a.Loaded.Locked))
	p.add(theme.Text, "  with the loss %.1f to %.1f N/mm", float64(a.LoadedStrung.Free), float64(a.LoadedStrung.Locked))
}

func hertz(hz []float64) string {
	words := make([]string, len(hz))
	for i, f := range hz {
		words[i] = fmt.Sprintf("%.0f", f)
	}
	return strings.Join(words, ", ")
}
