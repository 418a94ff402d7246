// Package patterns knows frames: their holes, the strands between them, which strands cross and which lies on top.
//
// Call ReadLayout with the bytes of a layout file; it returns the Frame that the layout means, or every problem in it
// at once. Hole, Strand and Chord name the parts; Frame.Met and Over give the weave.
package patterns
