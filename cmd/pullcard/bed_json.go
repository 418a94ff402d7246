package main

import (
	"pullcard/patterns/bed"
	"pullcard/sequence/numbers"
	"pullcard/sequence/plan"
)

// bedding is the JSON form of a bed.
type bedding struct {
	Grid struct {
		MainPitchMM  float64 `json:"main_pitch_mm"`
		CrossPitchMM float64 `json:"cross_pitch_mm"`
		AreaCM2      float64 `json:"area_cm2"`
		AreaIn2      float64 `json:"area_in2"`
		Even         bool    `json:"even"`
	} `json:"grid"`
	stiffnesses
	FrequenciesHz []float64         `json:"frequencies_hz"`
	Tensions      []setting         `json:"tensions"`
	Loads         plan.Loads        `json:"loads"`
	Choices       []choice          `json:"choices"`
	SameFeel      *feel             `json:"same_feel,omitempty"`
	Proportional  map[string]string `json:"proportional,omitempty"`
	Map           []spot            `json:"map"`
	Doubts        []string          `json:"doubts"`
	Assumed       assumed           `json:"assumed"`
}

type stiffnesses struct {
	NPerMM   float64 `json:"stiffness_n_per_mm"`
	KgfPerCm float64 `json:"stiffness_kgf_per_cm"`
	LbfPerIn float64 `json:"stiffness_lbf_per_in"`
}

func inUnits(s bed.Stiffness) stiffnesses {
	return stiffnesses{float64(s), s.KgfPerCm(), s.LbfPerIn()}
}

type setting struct {
	What    string `json:"what"`
	Ordered string `json:"ordered"`
	Set     string `json:"machine_set_to"`
	Gauge   string `json:"gauge_should_read"`
}

type choice struct {
	What             string  `json:"what"`
	NPerMM           float64 `json:"stiffness_n_per_mm"`
	StiffnessPercent float64 `json:"stiffness_percent"`
	HzPercent        float64 `json:"hz_percent"`
	Why              string  `json:"why,omitempty"`
}

type feel struct {
	ByLength  pair    `json:"by_length"`
	ByNet     pair    `json:"by_net"`
	Wanted    float64 `json:"wanted_n_per_mm"`
	AtLengths float64 `json:"by_length_n_per_mm"`
}

type pair struct {
	MainsN   float64 `json:"mains_n"`
	CrossesN float64 `json:"crosses_n"`
}

type spot struct {
	Main   string  `json:"main"`
	Cross  string  `json:"cross"`
	X      float64 `json:"x_mm"`
	Y      float64 `json:"y_mm"`
	NPerMM float64 `json:"n_per_mm"`
}

type assumed struct {
	LossPercent float64 `json:"loss_percent"`
	Source      string  `json:"source"`
	stiffnesses
	FrequenciesHz []float64 `json:"frequencies_hz"`
	String        string    `json:"string,omitempty"`
	// WithoutLossHz are the frequencies of the string assumed, without the loss; empty where the job tells its string.
	WithoutLossHz []float64   `json:"without_loss_hz,omitempty"`
	PatchMM       float64     `json:"patch_mm"`
	PatchNPerMM   float64     `json:"patch_n_per_mm"`
	StrungNPerMM  float64     `json:"patch_with_loss_n_per_mm"`
	Curve         []bentPoint `json:"curve"`
}

type bentPoint struct {
	ForceN       float64 `json:"force_n"`
	DeflectionMM float64 `json:"deflection_mm"`
	NPerMM       float64 `json:"n_per_mm"`
	HighestN     float64 `json:"highest_tension_n"`
}

func bedJSON(w *work, b *numbers.Bed) bedding {
	out := bedding{
		stiffnesses: inUnits(b.Figures.Stiffness), FrequenciesHz: b.Figures.Hz, Loads: b.Loads,
		Proportional: strandTensions(b.ByStrand), Map: spots(b), Doubts: append(append([]string{}, b.Doubts...), w.job.Machine.Cautions(w.job.Mains, w.job.Crosses)...), Assumed: assumedJSON(b),
	}
	if b.Assumed.String != "" {
		out.FrequenciesHz, out.Assumed.WithoutLossHz = []float64{}, b.Figures.Hz
	}
	out.Grid.MainPitchMM, out.Grid.CrossPitchMM = b.Grid.MainPitchMM, b.Grid.CrossPitchMM
	out.Grid.AreaCM2, out.Grid.AreaIn2, out.Grid.Even = b.Grid.AreaCM2(), b.Grid.AreaIn2(), b.Grid.Even()
	for _, s := range b.Settings {
		out.Tensions = append(out.Tensions, setting{s.What, s.Ordered.String(), s.Set.String(), s.Gauge.String()})
	}
	for _, c := range b.Choices {
		out.Choices = append(out.Choices, choice{c.What, float64(c.Stiffness), c.StiffnessPercent, c.HzPercent, c.Why})
	}
	if f := b.Feel; f != nil {
		out.SameFeel = &feel{pair(f.ByLength), pair(f.ByNet), float64(f.Wanted), float64(f.Reached)}
	}
	return out
}

func spots(b *numbers.Bed) []spot {
	nodes := b.Net.Nodes()
	out := make([]spot, len(nodes))
	for i, n := range nodes {
		out[i] = spot{b.Grid.Columns[n.Main].Strand.String(), b.Grid.Rows[n.Cross].Strand.String(), n.X, n.Y, float64(b.Map[i])}
	}
	return out
}

func assumedJSON(b *numbers.Bed) assumed {
	a := b.Assumed
	out := assumed{
		LossPercent: a.Loss.Percent, Source: a.Loss.Source, stiffnesses: inUnits(a.Figures.Stiffness), FrequenciesHz: a.Figures.Hz,
		String: a.String, PatchMM: a.PatchMM, PatchNPerMM: float64(a.PatchStiffness), StrungNPerMM: float64(a.PatchStrung),
	}
	for _, p := range a.Curve {
		out.Curve = append(out.Curve, bentPoint{p.ForceN, p.DeflectionMM, float64(p.Secant), p.HighestN})
	}
	return out
}
