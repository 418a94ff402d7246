package grid_test

import (
	"pullcard/patterns"
	"pullcard/patterns/grid"
)

// mains is the course of mains that start with a loop at an end.
func mains(f *patterns.Frame, start patterns.End) grid.Course {
	c := grid.Course{Name: "mains"}
	for _, s := range patterns.Sides() {
		a := grid.Arm{Name: map[patterns.Side]string{patterns.Left: "left", patterns.Right: "right"}[s]}
		at := start.Other()
		for i, m := range f.Mains[s] {
			a.Spans = append(a.Spans, m.Strand)
			if i > 0 {
				a.Runs = append(a.Runs, [2]patterns.Hole{f.Mains[s][i-1].At(at), m.At(at)})
				at = at.Other()
			}
		}
		c.Arms[s] = a
	}
	c.Loop = &[2]patterns.Hole{f.Mains[patterns.Left][0].At(start), f.Mains[patterns.Right][0].At(start)}
	return c
}

// crosses is the course of crosses from the head that start on the left.
func crosses(f *patterns.Frame) grid.Course {
	a := grid.Arm{Name: "long"}
	side := patterns.Right
	for i, x := range f.Crosses {
		a.Spans = append(a.Spans, x.Strand)
		if i > 0 {
			a.Runs = append(a.Runs, [2]patterns.Hole{f.Crosses[i-1].On(side), x.On(side)})
			side = side.Other()
		}
	}
	return grid.Course{Name: "crosses", Arms: [2]grid.Arm{a, {Name: "start"}}}
}

// whole is one piece: the left side is short, the right side runs on from its last main to the first cross.
func whole(f *patterns.Frame) grid.Course {
	m := mains(f, patterns.Head)
	right := &m.Arms[patterns.Right]
	last := f.Mains[patterns.Right][len(f.Mains[patterns.Right])-1]
	right.Runs = append(right.Runs, [2]patterns.Hole{last.At(patterns.Head), f.Crosses[0].On(patterns.Right)})
	side := patterns.Left
	for i, x := range f.Crosses {
		right.Spans = append(right.Spans, x.Strand)
		if i > 0 {
			right.Runs = append(right.Runs, [2]patterns.Hole{f.Crosses[i-1].On(side), x.On(side)})
			side = side.Other()
		}
	}
	m.Name = "whole"
	return m
}
