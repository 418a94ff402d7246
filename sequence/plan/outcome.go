package plan

// PutRight is the outcome of a mishap of which nothing is left.
const PutRight = "put right"

// Outcome says how a mishap ended: that it was put right, or what of it the racket keeps.
func (o *Op) Outcome() string {
	switch {
	case o.Fault == FaultShort && Hole(o.Choose).Parts().N > 0:
		return "its knot went into " + o.Choose
	case o.Choose == Keep:
		return "left as it is"
	}
	return PutRight
}
