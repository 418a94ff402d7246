package contrast

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pullcard/patterns/harmless"
	"pullcard/sequence/report"
)

// mostActs is how many acts are told of each way where they part, and mostRows how many rows of a topic before the rest is counted.
const (
	mostActs = 4
	mostRows = 12
)

// Tell tells it, first where hands would notice.
func (c Contrast) Tell() []report.Section {
	head := report.Section{Head: fmt.Sprintf("%s (own) and %s (other)", c.Own, c.Other)}
	if c.First == nil {
		head.Say("hands do the same, act by act")
	} else {
		p := c.First
		head.Say("the first %d acts are the same; then", p.Same)
		head.Add(acts("own", p.Own, p.OwnActs)...)
		head.Add(acts("other", p.Other, p.OtherActs)...)
	}
	sections := []report.Section{head}
	for _, topic := range c.topics() {
		s := report.Section{Head: strings.ToUpper(string(topic))}
		rows := c.rows(topic)
		more := len(rows) - mostRows
		if more > 0 {
			rows = rows[:mostRows]
		}
		s.Table(0, append([]string{"\town\tother"}, rows...)...)
		if more > 0 {
			s.Say("and %d more; --json lists all", more)
		}
		sections = append(sections, s)
	}
	return sections
}

func acts(whose string, step int, list []string) (out []string) {
	if len(list) == 0 {
		return []string{"  " + whose + ": nothing more"}
	}
	if more := len(list) - mostActs; more > 0 {
		list = append(slices.Clone(list[:mostActs]), fmt.Sprintf("and %d more", more))
	}
	return []string{fmt.Sprintf("  %s, step %d: %s", whose, step, strings.Join(list, "; "))}
}

// topics are those in which anything differs, in the order in which it shows; counts and lengths come last.
func (c Contrast) topics() (list []Topic) {
	for _, late := range []bool{false, true} {
		for _, d := range c.Differences {
			if is := d.Topic == Length || d.Topic == Count; is == late && !slices.Contains(list, d.Topic) {
				list = append(list, d.Topic)
			}
		}
	}
	return list
}

// mostStrands is how many strands of an order are named from where it is another one.
const mostStrands = 8

// fromParting leaves away of two orders how they begin alike, and their ends.
func fromParting(d Difference) Difference {
	own, other := strings.Fields(d.Own), strings.Fields(d.Other)
	n := 0
	for n < len(own) && n < len(other) && own[n] == other[n] {
		n++
	}
	part := func(list []string) string {
		if list = list[min(n, len(list)):]; len(list) > mostStrands {
			return strings.Join(list[:mostStrands], " ") + " …"
		}
		return strings.Join(list, " ")
	}
	d.What, d.Own, d.Other = fmt.Sprintf("%s, pull %d on", d.What, n+1), part(own), part(other)
	return d
}

// rows are the differences of a topic, those alike in one row.
func (c Contrast) rows(topic Topic) (rows []string) {
	var said [][2]string
	whats := map[[2]string][]string{}
	for _, d := range c.Differences {
		if d.Topic == topic {
			if topic == Order {
				d = fromParting(d)
			}
			key := [2]string{d.Own, d.Other}
			if whats[key] == nil {
				said = append(said, key)
			}
			whats[key] = append(whats[key], d.What)
		}
	}
	for _, key := range said {
		rows = append(rows, strings.Join([]string{harmless.Text(strings.Join(whats[key], " ")), cmp.Or(harmless.Text(key[0]), "–"), cmp.Or(harmless.Text(key[1]), "–")}, "\t"))
	}
	return rows
}
