package settings

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"pullcard/patterns/source"
	"pullcard/sequence/schedule"
)

// closed is what a day says on which the house does not open.
const closed = "closed"

// hours reads when the house is open. A day that says nothing is as open says.
func (r reader) hours(t *source.Table) {
	usual, given := r.span("hours.open", t.Text("open"))
	open := map[time.Weekday]schedule.Range{}
	for d := range time.Saturday + 1 {
		key := strings.ToLower(d.String()[:3])
		v := t.Text(key)
		if v.Value == closed {
			continue
		}
		if own, says := r.span("hours."+key, v); says {
			open[d] = own
		} else if given {
			open[d] = usual
		}
		if v.Given && !given {
			r.doc.Problem(v.Pos, `hours.%s says when that day is open, and hours.open not when the others are; write open = "9:00 to 18:00"`, key)
			given = true // told once
		}
	}
	if given && len(open) == 0 {
		r.doc.Problem(t.Text("open").Pos, "hours: it is closed on every day; open on one at least, or leave [hours] away")
	}
	breaks := t.List("breaks")
	if len(open) > 0 {
		r.s.Hours.Open = open
	}
	for _, v := range breaks.Items {
		if b, ok := r.span("hours.breaks", v); ok {
			r.s.Hours.Breaks = append(r.s.Hours.Breaks, b)
		}
	}
}

// span reads a part of a day; ok is false for none.
func (r reader) span(key string, v source.Text) (of schedule.Range, ok bool) {
	if strings.TrimSpace(v.Value) == "" {
		return of, false
	}
	m := regexp.MustCompile(`^\s*(\d{1,2}:\d\d)\s*(?:to|-|–)\s*(\d{1,2}:\d\d)\s*$`).FindStringSubmatch(v.Value)
	if m == nil {
		r.doc.Problem(v.Pos, `%s is %q; write it as "9:00 to 18:00"`, key, v.Value)
		return of, false
	}
	var err error
	of.From, err = clock(m[1])
	to, wrong := clock(m[2])
	if of.To = to; err != nil || wrong != nil || of.To <= of.From {
		r.doc.Problem(v.Pos, `%s is %q; write two times of one day, the earlier first, as "9:00 to 18:00"`, key, v.Value)
		return of, false
	}
	return of, true
}

// clock is a time of day, 24:00 its end.
func clock(text string) (time.Duration, error) {
	h, m, _ := strings.Cut(text, ":")
	hours, _ := strconv.Atoi(h) // two digits at most
	minutes, _ := strconv.Atoi(m)
	d := time.Duration(hours)*time.Hour + time.Duration(minutes)*time.Minute
	if minutes > 59 || d > 24*time.Hour {
		return 0, fmt.Errorf("%s is no time of day", text)
	}
	return d, nil
}
