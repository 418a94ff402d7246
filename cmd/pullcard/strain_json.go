package main

import "pullcard/sequence/calc"

// straining is the JSON form of what a plan does to hoop and strings.
type straining struct {
	Strands  []strainedStrand `json:"strands"`
	Hoop     []strainedHoop   `json:"hoop"`
	Supports []strainedLoad   `json:"supports"`
	Bending  struct {
		Nm   float64 `json:"peak_newton_metres"`
		Step int     `json:"step"`
		Hole string  `json:"hole"`
	} `json:"bending"`
	Beyond   bool            `json:"beyond_model"`
	Work     strainedWork    `json:"work_joules"`
	Against  []strainedSide  `json:"against,omitempty"`
	Gentlest *strainedGentle `json:"gentlest,omitempty"`
	Levels   []strainedLevel `json:"levels,omitempty"`
	Measured *taped          `json:"measured,omitempty"`
	Assumed  []strainedTaken `json:"assumed"`
}

type strainedStrand struct {
	Strand    string       `json:"strand"`
	Ordered   float64      `json:"ordered_newtons"`
	Pulled    float64      `json:"pulled_newtons"`
	OnMachine float64      `json:"on_machine_newtons"`
	Off       float64      `json:"off_machine_newtons"`
	Day       float64      `json:"day_newtons"`
	Lost      strainedLost `json:"lost"`
	Slack     bool         `json:"slack"`
}

type strainedLost struct {
	Hoop     float64 `json:"hoop"`
	Weaving  float64 `json:"weaving"`
	Drawback float64 `json:"drawback"`
	Friction float64 `json:"friction"`
	Knot     float64 `json:"knot"`
	Creep    float64 `json:"creep"`
}

type strainedHoop struct {
	After    string  `json:"after"`
	LengthMM float64 `json:"length_mm"`
	WidthMM  float64 `json:"width_mm"`
}

type strainedLoad struct {
	Support string  `json:"support"`
	Newtons float64 `json:"peak_newtons"`
	Step    int     `json:"step"`
}

type strainedWork struct {
	Gripper  float64 `json:"gripper"`
	Stored   float64 `json:"stored"`
	Friction float64 `json:"friction"`
	Drawback float64 `json:"drawback"`
	Knots    float64 `json:"knots"`
	Creep    float64 `json:"creep"`
	Weaving  float64 `json:"weaving"`
	Clamps   float64 `json:"clamps"`
	Machine  float64 `json:"machine"`
}

type strainedSide struct {
	Name     string  `json:"name"`
	Why      string  `json:"why,omitempty"`
	Uneven   float64 `json:"uneven_percent"`
	Mean     float64 `json:"mean_newtons"`
	Bending  float64 `json:"bending_newton_metres"`
	Support  float64 `json:"support_newtons"`
	Shorter  float64 `json:"shorter_mm"`
	Wider    float64 `json:"wider_mm"`
	Steps    int     `json:"steps"`
	PullsToo int     `json:"pulls"`
}

type strainedGentle struct {
	As      strainedSide `json:"as_it_is"`
	Best    strainedSide `json:"best"`
	Changes []string     `json:"changes"`
	Open    []string     `json:"open"`
	Tried   int          `json:"tried"`
}

type strainedLevel struct {
	Strand    string  `json:"strand"`
	Neighbour string  `json:"neighbour"`
	Percent   float64 `json:"percent"`
	Is        float64 `json:"is_percent"`
	Reached   bool    `json:"reached"`
}

type strainedTaken struct {
	Key    string `json:"key"`
	What   string `json:"what"`
	Value  string `json:"value"`
	Source string `json:"source"`
}

func sideJSON(o calc.Outcome) strainedSide {
	return strainedSide{o.Name, o.Why, o.UnevenPercent, o.MeanN, o.BendingNm, o.SupportN, o.ShorterMM, o.WiderMM, o.Steps, o.Pulls}
}

func (s *strained) json() straining {
	c := s.course
	out := straining{Strands: []strainedStrand{}, Hoop: []strainedHoop{}, Supports: []strainedLoad{}, Beyond: c.Beyond()}
	for _, x := range c.Strands {
		l := x.Lost
		out.Strands = append(out.Strands, strainedStrand{x.Name, x.Ordered, x.Pulled, x.OnMachine, x.OffMachine, x.AfterDay,
			strainedLost{l.Hoop, l.Weaving, l.Drawback, l.Friction, l.Knot, l.Creep}, x.Slack})
	}
	for _, z := range c.Hoop {
		out.Hoop = append(out.Hoop, strainedHoop{z.After, z.LengthMM, z.WidthMM})
	}
	for _, p := range c.Supports {
		out.Supports = append(out.Supports, strainedLoad{p.Support, p.Newtons, p.Step})
	}
	out.Bending.Nm, out.Bending.Step, out.Bending.Hole = c.Bending.Nm, c.Bending.Step, c.Bending.Hole
	const j = 1000 // N·mm in a joule
	w := c.Work
	out.Work = strainedWork{w.Gripper / j, w.Stored() / j, w.Friction / j, w.Drawback / j, w.Knots / j, w.Creep / j, w.Weaving / j, w.Clamps / j, w.Machine / j}
	for _, o := range s.sides {
		out.Against = append(out.Against, sideJSON(o))
	}
	if g := s.gentlest; g != nil {
		out.Gentlest = &strainedGentle{sideJSON(g.As), sideJSON(g.Best), append([]string{}, g.Changes...), append([]string{}, g.Open...), g.Tried}
	}
	for _, l := range s.levels {
		out.Levels = append(out.Levels, strainedLevel{string(l.Strand), string(l.Neighbour), l.Percent, l.IsPercent, l.Reached})
	}
	out.Measured = s.tape
	for _, l := range s.takes {
		out.Assumed = append(out.Assumed, strainedTaken{l.Key, l.What, l.Value, l.Source})
	}
	return out
}
