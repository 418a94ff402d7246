package browse

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

var update = flag.Bool("update", false, "write the golden files anew")

func clock() time.Time { return time.Date(2026, 11, 20, 14, 30, 0, 0, time.UTC) }

// memory is a book in memory; the newest record is the last.
type memory struct {
	records []book.Record
	before  map[string][]book.Correction
	asked   []string // every question, in words
	fail    error    // what the next question answers with
	strung  bool     // the jobs are
	blank   map[string]string
}

func (b *memory) ask(words ...string) error {
	b.asked = append(b.asked, strings.Join(words, " "))
	err := b.fail
	b.fail = nil
	return err
}

func (b *memory) put(kind records.Name, pairs ...string) string {
	fields := records.Fields{}
	for i := 0; i < len(pairs); i += 2 {
		fields[pairs[i]] = pairs[i+1]
	}
	n := int64(1)
	for _, r := range b.records {
		if r.Kind == kind {
			n++
		}
	}
	uid := fmt.Sprintf("%s-%d", kind, n)
	at := clock().Add(time.Duration(len(b.records)-40) * 24 * time.Hour)
	b.records = append(b.records, book.Record{UID: uid, Kind: kind, ID: n, At: at, State: book.Kept, Fields: fields})
	return uid
}

func (b *memory) record(uid string) *book.Record {
	i := slices.IndexFunc(b.records, func(r book.Record) bool { return r.UID == uid })
	if i < 0 {
		return nil
	}
	return &b.records[i]
}

func (b *memory) item(r book.Record) shop.Item {
	it := shop.Item{Record: r, Names: map[string]string{}}
	for _, text := range r.Fields {
		if of := b.record(text); of != nil {
			it.Names[text] = of.Label()
		}
	}
	if r.Kind == records.KindJob {
		it.Mark, it.Bench = "waits", true
		if b.strung {
			it.Mark, it.Bench, it.Fetch = "strung 24 kg", false, r.Fields["handed"] == ""
		}
	}
	return it
}

func (b *memory) Find(_ context.Context, kind records.Name, of, letters string) ([]shop.Item, error) {
	k, _ := records.Find(kind)
	var list []shop.Item
	for _, r := range slices.Backward(b.records) {
		if r.Kind != kind || r.State != book.Kept || of != "" && r.Fields[k.Owner] != of {
			continue
		}
		if strings.Contains(k.Words(r.Fields), records.Fold(letters)) {
			list = append(list, b.item(r))
		}
	}
	return list, b.ask("find", string(kind), of, letters)
}

func (b *memory) Lettered(kind records.Name, letters string) []string {
	return shop.Files{}.Lettered(kind, letters)
}

func (b *memory) Page(_ context.Context, uid string) (shop.Page, error) {
	if err := b.ask("page", uid); err != nil {
		return shop.Page{}, err
	}
	r := b.record(uid)
	p := shop.Page{Item: b.item(*r), Corrections: b.before[uid]}
	for _, c := range p.Corrections {
		maps.Copy(p.Names, b.item(book.Record{Fields: c.Before}).Names)
	}
	for _, k := range records.Kinds() {
		s := shop.Section{Title: k.Plural}
		for _, other := range slices.Backward(b.records) {
			if other.Kind == k.Name && other.State == book.Kept && k.Owner != "" && other.Fields[k.Owner] == uid {
				words := []string{other.At.Format(time.DateOnly)}
				for _, f := range k.Fields {
					if text := other.Fields[f.Key]; text != "" && f.Of == "" && f.Key != "text" {
						words = append(words, text)
					}
				}
				s.Lines = append(s.Lines, shop.Line{Text: strings.Join(words, " · "), UID: other.UID, Kind: k.Name})
			}
		}
		if len(s.Lines) > 0 {
			p.Below = append(p.Below, s)
		}
	}
	return p, nil
}

func (b *memory) Keep(_ context.Context, kind records.Name, uid string, fields records.Fields, why string) (book.Record, error) {
	words := []string{"keep", string(kind), uid}
	for _, key := range slices.Sorted(maps.Keys(fields)) {
		words = append(words, key+"="+fields[key])
	}
	if err := b.ask(append(words, why)...); err != nil {
		return book.Record{}, err
	}
	k, _ := records.Find(kind)
	all := records.Fields{}
	if uid != "" {
		maps.Copy(all, b.record(uid).Fields)
	}
	maps.Copy(all, fields)
	all, err := k.Read(all, clock())
	if err != nil { // as the book wraps it
		return book.Record{}, fmt.Errorf("book shop.book: add a %s: %w", kind, errors.Join(err))
	}
	if uid == "" {
		uid = b.put(kind)
		b.record(uid).Fields = all
		return *b.record(uid), nil
	}
	r := b.record(uid)
	b.before[uid] = append(b.before[uid], book.Correction{At: clock(), Why: why, Before: r.Fields})
	r.Fields = all
	return *r, nil
}

func (b *memory) Print(_ context.Context, uids ...string) error { return b.ask("print", uids[0]) }

func (b *memory) RestOfLot(_ context.Context, uid string) (string, error) {
	return "red dot, green tape, as job 1: 24 kg", b.ask("rest", uid)
}

func (b *memory) FillLot(_ context.Context, uid string) ([]book.Record, error) {
	return make([]book.Record, 2), b.ask("fill", uid)
}

func (b *memory) Blank(_ context.Context, kind records.Name, f records.Fields) (map[string]string, error) {
	if kind != records.KindJob || f["racket"] == "" {
		return nil, nil
	}
	return b.blank, nil
}

func (b *memory) References(_ context.Context, uid string) (string, error) {
	n := map[records.Name]int{}
	for _, r := range b.records {
		k, _ := records.Find(r.Kind)
		if slices.Contains(k.References(r.Fields), uid) {
			n[r.Kind]++
		}
	}
	if err := b.ask("hangs", uid); err != nil || len(n) == 0 {
		return "", err
	}
	return records.Counted(n), nil
}

func (b *memory) Remove(_ context.Context, uid string, _ bool) error {
	err := b.ask("leave", uid)
	if err == nil {
		b.record(uid).State = book.Removed
	}
	return err
}

func (b *memory) Bench(uid string) (screen.Screen, error)    { return nil, b.ask("bench", uid) }
func (b *memory) Sheet(uid string) (screen.Screen, error)    { return nil, b.ask("sheet", uid) }
func (b *memory) Verdicts(uid string) (screen.Screen, error) { return nil, b.ask("verdicts", uid) }

// till is a book with a little in it, all of it invented.
func till() *memory {
	b := &memory{before: map[string][]book.Correction{}}
	ben := b.put(records.KindPlayer, "name", "Ben Sommer (invented)", "contact", "ben@example.invalid")
	ada := b.put(records.KindPlayer, "name", "Ada Winter (invented)", "contact", "ada@example.invalid", "plays", "3",
		"notes", "wants it softer in winter\nand asks for the old string back")
	b.put(records.KindRacket, "player", ben, "mark", "green tape", "frame", "club-sixteen")
	blue := b.put(records.KindRacket, "player", ada, "mark", "blue dot", "frame", "club-sixteen", "mass", "302 g", "balance", "320 mm")
	b.put(records.KindRacket, "player", ada, "mark", "red dot", "frame", "club-sixteen", "mass", "305 g")
	b.put(records.KindStock, "name", "Invented Poly 1.25", "form", "reel", "length", "200 m", "diameter", "1.25 mm", "material", "polyester")
	b.put(records.KindMachine, "name", "by the window", "pull", "constant pull", "offset", "0.3 kg")
	b.put(records.KindStringer, "name", "Kim (invented)")
	b.put(records.KindGauge, "machine", "machine-1", "set", "24 kg", "read", "23.7 kg")
	job := b.put(records.KindJob, "player", ada, "racket", blue, "promised", "2026-11-21T17:30:00Z", "text", "player = \"Ada\"\nframe = \"club-sixteen\"\n")
	b.put(records.KindReading, "job", job, "value", "612 Hz", "with", "hand", "after", "30 min")
	b.put(records.KindVerdict, "job", job, "answer", "too tight, a bit")
	b.before[blue] = []book.Correction{
		{At: clock().AddDate(0, 0, -9), Before: records.Fields{"player": ben, "mark": "blue dot", "frame": "club-sixteen", "mass": "305 g"}, Why: "fetched by the wrong one"},
		{At: clock(), Before: records.Fields{"player": ada, "mark": "blue dot", "frame": "club-sixteen", "mass": "305 g"}, Why: "weighed again"},
	}
	return b
}

// rig is the screens and somebody who types, a key at a time; the book answers at once.
type rig struct {
	t    testing.TB
	book *memory
	m    Model
	msg  tea.Msg // what the screens said last to the root
}

func newRig(t testing.TB, b *memory) *rig { return rigWith(t, b, false) }

func rigWith(t testing.TB, b *memory, ascii bool) *rig {
	r := &rig{t: t, book: b, m: New(b, golden.Plain(t), ascii, clock).SetSize(80, 24)}
	r.run(r.m.Init())
	return r
}

// run does what a command says, and gives the answers back until there are none.
func (r *rig) run(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	switch msg := cmd().(type) {
	case tea.BatchMsg:
		for _, c := range msg {
			r.run(c)
		}
	case screen.OpenMsg:
		_, err := msg.Open()
		require.NoError(r.t, err)
	case screen.LeaveMsg:
		r.msg = msg
	default:
		var next tea.Cmd
		r.m, next = r.m.Update(msg)
		r.run(next)
	}
}

func (r *rig) press(keys ...string) *rig {
	for _, k := range keys {
		var cmd tea.Cmd
		r.msg = nil
		r.m, cmd = r.m.Update(golden.Key(k))
		r.run(cmd)
	}
	return r
}

// to goes to a field of the form that is up, by its label.
func (r *rig) to(label string) *rig {
	r.t.Helper()
	for range 30 {
		if s := r.screen(); strings.Contains(s, "▶ "+label+" ") || strings.Contains(s, "> "+label+" ") {
			return r
		}
		r.press("tab")
	}
	require.Fail(r.t, "there is no such field", label)
	return r
}

// write types a text a letter at a time.
func (r *rig) write(text string) *rig { return r.press(strings.Split(text, "")...) }

func (r *rig) screen() string { return ansi.Strip(r.m.View()) }

func (r *rig) shows(texts ...string) *rig {
	r.t.Helper()
	golden.Shows(r.t, r.screen(), texts...)
	return r
}

func (r *rig) hides(texts ...string) *rig {
	r.t.Helper()
	golden.Hides(r.t, r.screen(), texts...)
	return r
}

// lastAsked is the last question of a sort that the book was asked.
func (r *rig) lastAsked(sort string) string {
	for _, q := range slices.Backward(r.book.asked) {
		if strings.HasPrefix(q, sort) {
			return q
		}
	}
	return ""
}
