package mechanics

import (
	"fmt"
	"math"
	"slices"

	"pullcard/patterns/grid"
)

// Loaded is how stiff a bed is in its middle under a ball: the force over how far it moves the ball. Friction at the
// crossings puts it between Free and Locked.
type Loaded struct {
	Free, Locked Stiffness
	// DeflectionMM is how far the ball sinks in and HighestN the highest tension then, both with crossings free.
	DeflectionMM, HighestN float64
}

// Loaded works it out. It fails where the force is not above nought.
func (n *Net) Loaded(b Ball) (Loaded, error) {
	free, err := n.Under(b, grid.Point{}, Free)
	if err != nil {
		return Loaded{}, err
	}
	locked, err := n.Under(b, grid.Point{}, Locked)
	return Loaded{free.Secant, locked.Secant, free.DeflectionMM, free.HighestN}, err
}

// Under is a bed under a ball about a point: the mean of two places where it may come down between the strings. It fails
// where the force is not above nought.
func (n *Net) Under(b Ball, at grid.Point, f Friction) (mean Bent, err error) {
	mean.ForceN = b.ForceN
	places := n.places(at)
	for _, p := range places {
		bent, err := n.Curve(n.Press(p, b.RadiusMM), f, []float64{b.ForceN})
		if err != nil {
			return Bent{}, err
		}
		mean.DeflectionMM += bent[0].DeflectionMM / float64(len(places))
		mean.HighestN = max(mean.HighestN, bent[0].HighestN)
	}
	mean.Secant = Stiffness(b.ForceN / mean.DeflectionMM)
	return mean, nil
}

// Under is what a loaded stiffness is worked out under.
type Under struct {
	Ball     Ball
	Friction Friction
	// Product is a string that is taken to be Times as stiff as its material usually is; none where Times is nought.
	Product Product
	Times   float64
}

func (u Under) times(p Product) float64 {
	if u.Times > 0 && u.Product == p {
		return u.Times
	}
	return 1
}

// Loaded is the stiffness of a bed under something.
func (s Setup) Loaded(u Under) (Stiffness, error) {
	g, err := s.grid()
	if err != nil {
		return 0, err
	}
	n, err := s.on(g, u)
	if err != nil {
		return 0, err
	}
	bent, err := n.Under(u.Ball, grid.Point{}, u.Friction)
	return bent.Secant, err
}

// Spread is by how many times a product may be stiffer or softer than its material is taken to be: strings of one
// material differ by half. From memory.
const Spread = 1.5

// Same is by what to multiply tensions so that a bed feels like another.
type Same struct {
	Factor float64
	// PlusMinus is how far the factor may be off: the root of the squares of what the spread of each product's stiffness
	// does to it, and of half of what friction does. It is about a 95 % interval if the spread is one; nothing is in it of
	// how exact the frames were measured or the machine pulls.
	PlusMinus float64
	// Wanted is the stiffness under the ball that is to be met, Reached that at the factor, both with crossings free.
	Wanted, Reached Stiffness
}

// Meet finds the factor. Was is the bed that is to be met, is the other one at a factor; products are those of both, and off alike in both. It
// fails where no factor from a fifth to five makes them equally stiff, or with what was and is say.
func Meet(ball Ball, products []Product, was func(Under) (Stiffness, error), is func(factor float64, u Under) (Stiffness, error)) (Same, error) {
	factor := func(u Under) (float64, Stiffness, Stiffness, error) {
		u.Ball = ball
		wanted, err := was(u)
		if err != nil {
			return 0, 0, 0, err
		}
		f, reached, err := seek(wanted, func(f float64) (Stiffness, error) { return is(f, u) })
		return f, wanted, reached, err
	}
	var s Same
	var err error
	if s.Factor, s.Wanted, s.Reached, err = factor(Under{}); err != nil {
		return s, err
	}
	off := func(a, b Under) error {
		x, _, _, err := factor(a)
		if err != nil {
			return err
		}
		y, _, _, err := factor(b)
		s.PlusMinus = math.Hypot(s.PlusMinus, (x-y)/2)
		return err
	}
	for i, p := range products {
		if slices.Contains(products[:i], p) {
			continue
		}
		if err := off(Under{Product: p, Times: Spread}, Under{Product: p, Times: 1 / Spread}); err != nil {
			return s, err
		}
	}
	return s, off(Under{}, Under{Friction: Locked})
}

// fine is by which share a stiffness that is to be met may be off: far finer than a tension can be set.
const fine = 1e-7

// seek is the secant method.
func seek(wanted Stiffness, at func(float64) (Stiffness, error)) (factor float64, reached Stiffness, err error) {
	if !(wanted > 0) {
		return 0, 0, fmt.Errorf("the stiffness to be met is %g N/mm; it must be above nought", float64(wanted))
	}
	last, next := 1.02, 1.0
	lastK, err := at(last)
	for range 30 {
		var k Stiffness
		if err == nil {
			k, err = at(next)
		}
		if err != nil {
			return 0, 0, err
		}
		if math.Abs(float64(k/wanted)-1) < fine {
			return next, k, nil
		}
		last, lastK, next = next, k, next+float64((wanted-k)/(k-lastK))*(next-last)
		if !(next >= 0.2 && next <= 5) {
			break
		}
	}
	return 0, 0, fmt.Errorf("no tension from a fifth to five times that makes the bed give %.1f N/mm under the ball", float64(wanted))
}

// Feel is the tension that gives another bed the feel of a bed, by the loaded nets and by a rule of thumb.
type Feel struct {
	Same
	// ByNet makes the bed as stiff under the ball, PlusMinus how far that may be off.
	ByNet, PlusMinus Pair
	// ByLength keeps tension over length, the length being the root of the hoop's area, and AtLength is the stiffness under
	// the ball that it gives, which shows how far the rule of thumb goes.
	// Source: Brody (1987): stiffness goes as tension over length, for the same feel keep T/L. The root of the area as the
	// length: Cross, Measuring String Tension (2006).
	ByLength Pair
	AtLength Stiffness
}

// Pair are the tensions of mains and crosses in newtons.
type Pair struct{ MainsN, CrossesN float64 }

// SameFeel is how to string a bed, of another frame, pattern, string or gauge, so that it feels like one that was. Its
// tensions are those of the old one times a factor. Boosts are not taken over: they belong to the frame's own knots.
func SameFeel(was, is Setup, ball Ball) (Feel, error) {
	was.BoostN = nil
	is.MainsN, is.CrossesN, is.BoostN = was.MainsN, was.CrossesN, nil
	for _, s := range []*Setup{&was, &is} {
		g, err := s.grid()
		if err != nil {
			return Feel{}, fmt.Errorf("%s: %w", s.Frame.Name, err)
		}
		s.Laid = g
	}
	at := func(f float64, u Under) (Stiffness, error) { return is.Times(f).Loaded(u) }
	same, err := Meet(ball, Products(was, is), was.Loaded, at)
	if err != nil {
		return Feel{}, err
	}
	times := func(f float64) Pair { return Pair{was.MainsN * f, was.CrossesN * f} }
	length := math.Sqrt(is.Laid.AreaCM2() / was.Laid.AreaCM2())
	f := Feel{Same: same, ByNet: times(same.Factor), PlusMinus: times(same.PlusMinus), ByLength: times(length)}
	f.AtLength, err = at(length, Under{Ball: ball})
	return f, err
}

// Products are those of some beds' strings.
func Products(beds ...Setup) (out []Product) {
	for _, s := range beds {
		out = append(out, s.Mains.Product, s.Crosses.Product)
	}
	return out
}
