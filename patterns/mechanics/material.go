package mechanics

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Material is what a string is made of.
type Material string

// The materials.
const (
	Polyester Material = "polyester"
	Nylon     Material = "nylon"
	Gut       Material = "gut"
	Aramid    Material = "aramid"
)

// Materials lists the materials that are known.
func Materials() []Material { return []Material{Polyester, Nylon, Gut, Aramid} }

// stuff is a material's density in kg/m³ and modulus in N/mm².
type stuff struct{ density, modulus float64 }

// of are handbook values from memory. The densities are good to a few per cent; the moduli are orders of magnitude for
// drawn string under tension, as strings of one material differ by half. A string's own mass, or a measured
// curve, is better.
func (m Material) of() (stuff, bool) {
	s, ok := map[Material]stuff{
		Polyester: {1380, 8000},
		Nylon:     {1140, 5000},
		Gut:       {1280, 4500},
		Aramid:    {1440, 30_000},
	}[m]
	return s, ok
}

// Product is what is the same in all gauges of a string.
type Product struct {
	Name     string // may be empty
	Material Material
}

// Yarn is a kind of string as it is bought.
type Yarn struct {
	Product
	DiameterMM float64
	// MassGPM is the mass in grams per metre; 0 is worked out from material and diameter.
	MassGPM float64
}

// Cord is the string at a tension in newtons. It fails when the mass does not follow from what is given.
func (y Yarn) Cord(tensionN float64) (Cord, error) {
	s, known := y.Material.of()
	if y.Material != "" && !known {
		return Cord{}, fmt.Errorf("the material %q is not known; %s are", y.Material, names())
	}
	area := math.Pi / 4 * y.DiameterMM * y.DiameterMM
	c := Cord{TensionN: tensionN, MassGPM: y.MassGPM, EAN: s.modulus * area}
	if c.MassGPM == 0 {
		c.MassGPM = s.density * area / 1000
	}
	if !(c.MassGPM > 0) {
		return Cord{}, fmt.Errorf("a string of %g mm %s has no mass that follows; give its mass, or its material and diameter", y.DiameterMM, y.Material)
	}
	return c, nil
}

// Thicker is the same string of another diameter, its mass with the cross-section.
func (y Yarn) Thicker(byMM float64) Yarn {
	if y.DiameterMM > 0 {
		r := (y.DiameterMM + byMM) / y.DiameterMM
		y.MassGPM *= r * r
	}
	y.DiameterMM += byMM
	return y
}

func names() string {
	var out []string
	for _, m := range Materials() {
		out = append(out, string(m))
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}
