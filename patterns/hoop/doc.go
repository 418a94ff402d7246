// Package hoop is the frame's hoop as an elastic body: a closed plane frame of beam elements along the line through all holes,
// seen through what strings and supports do to it.
//
// Call Lay for the hoop of a grid and Condense once; then everything that strings and machine can do is a product of small
// matrices, and Contact says which strings are slack and which supports stand off.
//
// The model: displacements are small, the tube is held to run where the holes are, a load acts on its axis, and shear
// is left away. That is what any textbook on frames has as Euler's and Bernoulli's beam.
package hoop
