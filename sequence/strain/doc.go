// Package strain plays a plan, op by op, on an elastic hoop: what stringing does to the hoop, and what the hoop does to the
// strings. What each op does to the string the racket says (plan.Racket); here is only what follows of it for tensions.
//
// Make a Model of a frame, its strings and what is assumed, then Play a plan on it; the Course that comes of it has the tension of
// every strand and the shape of the hoop at every step.
//
// # The model
//
//	hoop       closed plane frame of beams through the holes; small displacements (patterns/hoop)
//	strand     a spring EA/L that never pushes, set by what it was pulled to; it acts on both its holes with the mean of its profile
//	weaving    each crossing shares the two half diameters between main and cross, as their tensions over the pitch stand (first order)
//	friction   capstan at the exit hole, the gripper's turn and every crossing, while a strand is pulled; the sideways force stays
//	           between the strings. Afterwards the strand is one spring. Two strands joined round the outside of the hoop share their
//	           string when their tensions stand farther apart than the capstan of half a turn holds, and never to the one whose mean
//	           is the lower: friction only takes
//	clamps     a fixed clamp stands still with the machine, and the hole beside it is free; S outside and knots lie on the hoop; a flying
//	           clamp hangs its strand on its neighbour's hole. What a clamp or a knot gives, it gives when it takes the load
//	machine    supports push and never pull, over a gap or preload, with a spring along the tube; the throat's yoke holds the rest
//	creep      with the logarithm of time, from the pull on; the gripper of constant pull makes up for it
package strain
