package book

import (
	"cmp"
	"database/sql"
	"slices"
	"time"
)

// parts says where two lines part: the first place in their names that differs, the length of the shorter one where none does.
func parts(a, b *line) int {
	n := 0
	for n < min(len(a.names), len(b.names)) && a.names[n] == b.names[n] {
		n++
	}
	return n
}

// before says which of two lines is the job's own: the one under the later claim, and where that says nothing the one whose first
// event beside the other is older.
func before(a, b *line) int {
	if a.late != b.late {
		if a.late {
			return 1
		}
		return -1
	}
	n := parts(a, b)
	if n == min(len(a.names), len(b.names)) {
		return cmp.Compare(len(b.names), len(a.names))
	}
	return cmp.Or(cmp.Compare(b.claim(n), a.claim(n)), a.at(n).Compare(b.at(n)), cmp.Compare(a.names[n], b.names[n]))
}

// apart sets apart what was done under an older claim after another bench had taken the job over: the job's own line ends before it.
func (m *merger) apart(a *attempts) error {
	claims, err := allRows(m.ctx, m.q, func(rows *sql.Rows) (c claimBody, err error) {
		return c, rows.Scan(&c.Number, &c.After)
	}, "SELECT number, after FROM claims WHERE job = ?", a.uid)
	if err != nil {
		return err
	}
	for _, l := range slices.Clone(a.lines) {
		n := l.lateFrom(claims)
		if l.late = n >= 0; !l.late || slices.ContainsFunc(a.lines, func(o *line) bool { return o != l && parts(o, l) > n && o.lateFrom(claims) < 0 }) {
			continue
		}
		a.lines = append(a.lines, &line{root: l.root, plan: l.plan, names: slices.Clone(l.names[:n+1]), events: old(l.events[:n])})
	}
	return nil
}

// lateFrom is how many events of a line come before the first that was done too late, -1 where none was.
func (l *line) lateFrom(claims []claimBody) int {
	at := make([]int, len(claims))
	for i, c := range claims {
		if at[i] = -1; c.After != "" {
			if at[i] = l.index(c.After); at[i] < 0 {
				at[i] = len(l.names)
			}
		}
	}
	for n, e := range l.events {
		for i, c := range claims {
			if c.Number > e.Claim && at[i] <= n {
				return n
			}
		}
	}
	return -1
}

// claim is the greatest claim of a line from a place in its names on.
func (l *line) claim(from int) (most int) {
	for _, e := range l.events[max(from-1, 0):] {
		most = max(most, e.Claim)
	}
	return most
}

// index is where a line has an event of a name, -1 where it has none.
func (l *line) index(name string) int { return slices.Index(l.names, name) }

func (l *line) at(n int) time.Time {
	if n == 0 {
		return l.root.Made
	}
	return l.events[n-1].At
}

// settle writes what was added to a job.
func (m *merger) settle(a *attempts) error {
	if !a.changed {
		return nil
	}
	a.changed = false
	if err := m.apart(a); err != nil {
		return err
	}
	a.drop()
	slices.SortFunc(a.lines, before)
	moved := len(a.dropped) > 0
	for i, l := range a.lines {
		uid := a.uid
		if i > 0 {
			at := 0 // the first place where it is like none before it
			for _, o := range a.lines[:i] {
				at = max(at, parts(o, l))
			}
			uid += "+" + l.names[at][:16]
		}
		moved = moved || l.uid != "" && l.uid != uid
		l.uid = uid
	}
	if moved {
		return m.move(a)
	}
	return m.save(a)
}

// drop leaves out lines of which another one has all, but for one that ends in time where the other goes on too late.
func (a *attempts) drop() {
	all := slices.Clone(a.lines)
	a.lines = slices.DeleteFunc(a.lines, func(l *line) bool {
		within := slices.ContainsFunc(all, func(o *line) bool {
			return o != l && parts(o, l) == len(l.names) && len(o.names) > len(l.names) && (l.late || !o.late)
		})
		if within && l.id != 0 {
			a.dropped = append(a.dropped, l)
		}
		return within
	})
}
