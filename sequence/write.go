package sequence

import (
	"fmt"
	"strconv"

	"github.com/pelletier/go-toml/v2"
)

// jobFile is the form in which a job is written.
type jobFile struct {
	Player    string `toml:"player,omitempty"`
	Racket    string `toml:"racket,omitempty"`
	Frame     string `toml:"frame"`
	Technique string `toml:"technique"`
	Tension   struct {
		Mains        string            `toml:"mains"`
		Crosses      string            `toml:"crosses"`
		Proportional bool              `toml:"proportional,omitempty"`
		Least        string            `toml:"least,omitempty"`
		Strands      map[string]string `toml:"strands,omitempty"`
	} `toml:"tension"`
	String struct {
		Mains   stringTable  `toml:"mains,omitempty"`
		Crosses *stringTable `toml:"crosses,omitempty"`
	} `toml:"string,omitempty"`
	Machine machineTable   `toml:"machine,omitempty"`
	Strain  map[string]any `toml:"strain,omitempty"`
}

type stringTable struct {
	Name       string `toml:"name,omitempty"`
	Diameter   string `toml:"diameter,omitempty"`
	Mass       string `toml:"mass,omitempty"`
	Prestretch string `toml:"prestretch,omitempty"`
	Material   string `toml:"material,omitempty"`
	Length     string `toml:"length,omitempty"`
	Half       bool   `toml:"half,omitempty"`
	Reel       string `toml:"reel,omitempty"`
	Left       string `toml:"left,omitempty"`
}

type machineTable struct {
	Name  string `toml:"name,omitempty"`
	Reach string `toml:"reach,omitempty"`
	Step  string `toml:"step,omitempty"`
	Kind  string `toml:"kind,omitempty"`
	Gauge struct {
		Set  string `toml:"set,omitempty"`
		Read string `toml:"read,omitempty"`
	} `toml:"gauge,omitempty"`
	BarDegrees float64 `toml:"bar_degrees,omitempty"`
	Corrected  bool    `toml:"corrected,omitempty"`
}

// Text writes the job as ReadJob reads it: read again it is the same job, lengths in millimetres. A file of somebody's own,
// with comments, is corrected in place by EditTensions instead.
func (j *Job) Text() ([]byte, error) {
	f := jobFile{Player: j.Player, Racket: j.Racket, Frame: j.Frame.Value, Technique: j.Technique.Value}
	f.Tension.Mains, f.Tension.Crosses, f.Tension.Proportional = j.Mains.String(), j.Crosses.String(), j.Proportional
	if j.LeastPercent != usualLeast {
		f.Tension.Least = fmt.Sprintf("%g %%", j.LeastPercent)
	}
	for _, s := range j.Strands {
		if f.Tension.Strands == nil {
			f.Tension.Strands = map[string]string{}
		}
		f.Tension.Strands[s.Strand.String()] = s.Tension.String()
	}
	f.String.Mains = j.StringMains.table()
	if j.StringCrosses != j.StringMains {
		crosses := j.StringCrosses.table()
		f.String.Crosses = &crosses
	}
	m := j.Machine
	f.Machine = machineTable{Name: m.Name, Reach: length(m.ReachMM), Step: m.Step.String(), Kind: string(m.Kind), BarDegrees: m.BarDegrees, Corrected: m.Corrected}
	f.Machine.Gauge.Set, f.Machine.Gauge.Read = m.GaugeSet.String(), m.GaugeRead.String()
	f.Strain = j.Strain.Written()
	text, err := toml.Marshal(f)
	if err != nil {
		return nil, fmt.Errorf("write the job: %w", err)
	}
	return text, nil
}

func (s String) table() stringTable {
	return stringTable{
		Name: s.Name, Diameter: length(s.DiameterMM), Mass: written(s.GramsPerMetre, "g/m"), Prestretch: written(s.StretchPercent, "%"),
		Material: string(s.Material), Length: length(s.Supply.SetMM), Half: s.Supply.Half, Reel: length(s.Supply.ReelMM), Left: length(s.Supply.LeftMM),
	}
}

func length(mm float64) string { return written(mm, "mm") }

// written is a quantity with its unit, empty for none.
func written(v float64, unit string) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64) + " " + unit
}

// Anonymous is the text of a job file without player, racket and comments, empty when it cannot be read as one.
func Anonymous(text []byte) []byte {
	j, _, err := ReadJob("", text)
	if err != nil {
		return []byte{}
	}
	j.Player, j.Racket = "", ""
	text, err = j.Text()
	if err != nil {
		return []byte{}
	}
	return text
}
