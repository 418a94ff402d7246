package plan

// NewPieces are the pieces of string of which the first is threaded in a step: those that must have been cut by then. A
// piece of which a strand was cut out before begins anew.
func (p *Plan) NewPieces(step int) []Piece {
	there := map[Piece]bool{}
	of := map[Strand]Piece{}
	for i, s := range p.Steps[:min(step, len(p.Steps))] {
		var begun []Piece
		for _, op := range s.Ops {
			switch op.Op {
			case Thread, Weave:
				of[op.Strand] = op.Piece
				if !there[op.Piece] {
					there[op.Piece] = true
					begun = append(begun, op.Piece)
				}
			case Cut:
				there[of[op.Strand]] = false
			}
		}
		if i == step-1 {
			return begun
		}
	}
	return nil
}
