package calc

import (
	"fmt"

	"pullcard/patterns/assume"
	"pullcard/patterns/harmless"
	"pullcard/sequence/report"
)

// TellTechniques sets techniques side by side, an empty section for none.
func TellTechniques(sides []Outcome) (s report.Section) {
	if len(sides) == 0 {
		return s
	}
	s.Head = "SIDE BY SIDE"
	rows := []string{"\tuneven\tmean left\tbending\tsupport\tshorter\twider\tsteps"}
	for _, o := range sides {
		row := fmt.Sprintf("%.1f %%\t%.0f N\t%.1f N·m\t%.0f N\t%.1f mm\t%.1f mm\t%d", o.UnevenPercent, o.MeanN, o.BendingNm, o.SupportN, o.ShorterMM, o.WiderMM, o.Steps)
		if o.Why != "" {
			row = "–  " + harmless.Text(o.why())
		}
		rows = append(rows, harmless.Text(o.Name)+"\t"+row)
	}
	s.Table(0, rows...)
	s.Add(Verdict(sides)...)
	return s
}

// TellTaken tells the numbers that are taken for granted, an empty section for none.
func TellTaken(takes []assume.Line) (s report.Section) {
	if len(takes) == 0 {
		return s
	}
	s = report.Section{Head: "ASSUMED, none of it part of the plan; a table [strain] in settings, layout, sheet or job sets it"}
	rows := make([]string, len(takes))
	for i, l := range takes {
		rows[i] = fmt.Sprintf("%s\t%s\t%s\t(%s)", l.Key, harmless.Text(l.Value), l.What, harmless.Text(l.Source))
	}
	s.Table(0, rows...)
	return s
}
