package strain

import (
	"math"
	"strings"
)

// support is one point by which a machine pushes at the hoop.
type support struct {
	name   string
	group  string  // what a sheet's mount.order calls it: "head", "throat" or, for any other name, the arms
	angle  float64 // from the head to the left, radians
	inside bool    // it lies inside the hoop and pushes outwards
}

// The groups of supports.
const (
	head   = "head"
	throat = "throat"
	arms   = "arms"
)

// mount are the supports of a machine of so many points beside the throat's yoke, which holds the three rigid motions of the frame.
// Places as common practice has them.
func mount(points string) []support {
	deg := func(d float64) float64 { return d * math.Pi / 180 }
	switch points {
	case "2":
		return []support{{"head", head, 0, true}}
	case "4":
		return []support{
			{"head, left", head, deg(30), true}, {"head, right", head, deg(-30), true},
			{"throat, left", throat, deg(150), true}, {"throat, right", throat, deg(-150), true},
		}
	case "6":
		return []support{
			{"head", head, 0, true},
			{"arm, head left", arms, deg(55), false}, {"arm, head right", arms, deg(-55), false},
			{"arm, throat left", arms, deg(125), false}, {"arm, throat right", arms, deg(-125), false},
		}
	}
	return nil
}

// GroupOf is the group that a sheet's name of a support means: "head", "throat" or "arms".
func GroupOf(name string) string {
	switch lower := strings.ToLower(name); {
	case strings.Contains(lower, "arm"):
		return arms
	case strings.Contains(lower, "head"):
		return head
	case strings.Contains(lower, "throat") || strings.Contains(lower, "yoke"):
		return throat
	}
	return arms
}

// Points are those of the mount that a sheet's supports are: 6 where it has more than head and throat.
func Points(order []string) string {
	for _, name := range order {
		if GroupOf(name) == arms {
			return "6"
		}
	}
	return "2"
}

// SupportPlace is where a support stands, and what it is.
type SupportPlace struct {
	Name, Group string
	X, Y        float64 // mm, in the plane of the grid
	Inside      bool    // it stands inside the hoop and pushes outwards
}

// Mounting are the supports of the model's mount beside the throat's yoke.
func (m *Model) Mounting() (out []SupportPlace) {
	for i, s := range m.supports {
		p := m.hoop.Nodes[m.hoop.Supports[i]]
		out = append(out, SupportPlace{s.name, s.group, p.X, p.Y, s.inside})
	}
	return out
}
