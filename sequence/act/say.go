package act

import "strings"

// Say is what a voice says of the acts of a step, in short words: first what to know before, then act after act. What one says
// of a strand the next does not say again.
func (t *Table) Say(acts []Act) string {
	var first, out []string
	for i := range acts {
		a := &acts[i]
		for _, text := range a.Warn {
			first = append(first, t.Text(text))
		}
		if a.Boost > 0 {
			first = append(first, t.fill(t.says[sayBoost], a))
		}
		if a.Changed {
			first = append(first, t.fill(t.says[sayChange], a))
		}
		out = append(out, t.one(acts, i))
		for _, text := range a.Notes {
			out = append(out, t.Text(text))
		}
	}
	said := append(first, out...)
	for i := range said {
		said[i] = strings.TrimSpace(said[i])
	}
	return strings.Join(compact(said), "; ")
}

// SayAgain is what a voice says of a step that is done once more.
func (t *Table) SayAgain(acts []Act) string {
	return strings.Join(compact([]string{t.says[sayAgain], t.Say(acts)}), "; ")
}

// one is one act in words, shorter where it goes on with the strand of the act before.
func (t *Table) one(acts []Act, i int) string {
	a := &acts[i]
	if i > 0 && a.Strand == acts[i-1].Strand {
		switch {
		case a.Verb == Pull && acts[i-1].Verb == Feed && a.With == "":
			return t.fill(t.says[sayAlso], a)
		}
	}
	if a.Verb == ClampOn && a.With == "" && !a.Outside && a.Behind == "" && pulledBefore(acts[:i], a) {
		return t.fill(t.says[sayOn], a)
	}
	return t.Line(a)
}

// pulledBefore says whether a clamp comes to where the gripper pulls: nobody sets it elsewhere then.
func pulledBefore(acts []Act, on *Act) bool {
	for i := range acts {
		if acts[i].Pulls() && acts[i].Strand == on.Strand && acts[i].To == on.To {
			return true
		}
	}
	return false
}

// compact leaves away what is empty.
func compact(texts []string) (out []string) {
	for _, text := range texts {
		if text != "" {
			out = append(out, text)
		}
	}
	return out
}
