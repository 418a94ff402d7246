package calc

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"

	"pullcard/patterns/assume"
	"pullcard/sequence"
	"pullcard/sequence/strain"
)

// Gentlest is what a search over the settings that a sheet leaves open came to.
type Gentlest struct {
	// Unchanged is the sheet as it is, Best what was found; the same where nothing is worth it.
	Unchanged Outcome `json:"as_it_is"`
	Best      Outcome `json:"best"`
	// Changes are the settings of Best that differ, empty where nothing is worth it.
	Changes []string `json:"changes"`
	// Open are the settings that the sheet leaves open, Tried how many plans were refereed and played.
	Open  []string `json:"open"`
	Tried int      `json:"tried"`

	said []string // the settings that would be searched, had the sheet left them open
}

// worth is the gain, as a share of bending and unevenness together, below which a change is not worth it: this program's own choice.
const worth = 0.05

// score is what the search makes small: the tube's largest moment and the bed's unevenness, each as a share of the sheet's as it is.
func (o Outcome) score(as Outcome) float64 {
	return (o.BendingNm/as.BendingNm + o.UnevenPercent/as.UnevenPercent) / 2
}

// Gentlest searches the settings that the sheet leaves open for a technique that bends the hoop less and leaves a more even bed. It
// changes one setting at a time, the best change first, as long as one is worth it, and tells how far it is. The error is the context's,
// or says why the sheet itself has no plan.
func (w Work) Gentlest(ctx context.Context, house assume.Table, tell func(tried, of int)) (*Gentlest, error) {
	b := &bench{w, house, map[string]*strain.Model{}}
	c, err := b.play(w)
	if err != nil {
		return nil, err
	}
	g := &Gentlest{Unchanged: outcome(w.Technique.Name, c), Changes: []string{}, Open: []string{}, Tried: 1}
	g.Best = g.Unchanged
	best := *w.Technique
	for _, v := range variants(w.Technique) {
		list := &g.Open
		if w.Technique.Says(v.Key) {
			list = &g.said
		}
		if !slices.Contains(*list, v.Key) {
			*list = append(*list, v.Key)
		}
	}
	for len(g.Changes) < len(g.Open) {
		change, found, err := b.step(ctx, g, best, tell)
		if err != nil {
			return nil, err
		}
		if found.score(g.Unchanged) > g.Best.score(g.Unchanged)*(1-worth) {
			return g, nil
		}
		change.change(&best)
		g.Best, g.Changes = found, append(g.Changes, change.What)
	}
	return g, nil
}

// step tries every change of a setting that is open and gives the best.
func (b *bench) step(ctx context.Context, g *Gentlest, from sequence.Technique, tell func(tried, of int)) (Variant, Outcome, error) {
	var open []Variant
	for _, v := range variants(&from) {
		if slices.Contains(g.Open, v.Key) {
			open = append(open, v)
		}
	}
	outcomes := make([]Outcome, len(open))
	var beside sync.WaitGroup
	var lock sync.Mutex
	next := 0
	for range 2 {
		beside.Go(func() {
			own := &bench{b.Work, b.house, map[string]*strain.Model{}}
			for k, m := range b.models {
				own.models[k] = m
			}
			for ctx.Err() == nil {
				lock.Lock()
				i := next
				next++
				if i < len(open) {
					g.Tried++
					tell(g.Tried, g.Tried+len(open)-next)
				}
				lock.Unlock()
				if i >= len(open) {
					return
				}
				t := from
				open[i].change(&t)
				outcomes[i] = own.try(open[i].What, &t)
			}
		})
	}
	if beside.Wait(); ctx.Err() != nil {
		return Variant{}, Outcome{}, ctx.Err()
	}
	best := -1
	for i, o := range outcomes {
		if o.Why == "" && (best < 0 || o.score(g.Unchanged) < outcomes[best].score(g.Unchanged)) {
			best = i
		}
	}
	if best < 0 {
		return Variant{}, g.Best, nil
	}
	return open[best], outcomes[best], nil
}

// Words tells the answer, with figures.
func (g *Gentlest) Words() []string {
	tried := fmt.Sprintf("%d plans tried, each refereed; the sheet leaves open: %s", g.Tried, strings.Join(g.Open, ", "))
	if len(g.Open) == 0 {
		return []string{"the sheet leaves nothing open; take out of a copy what may be searched: " + strings.Join(g.said, ", ")}
	}
	if len(g.Changes) == 0 {
		return []string{"no gain worth it: the sheet stays as it is", tried}
	}
	return []string{
		strings.Join(g.Changes, ", "),
		fmt.Sprintf("bending %.1f instead of %.1f N·m, supports %.0f instead of %.0f N, bed uneven by %.1f instead of %.1f %%", g.Best.BendingNm, g.Unchanged.BendingNm, g.Best.SupportN, g.Unchanged.SupportN, g.Best.UnevenPercent, g.Unchanged.UnevenPercent),
		tried,
	}
}
