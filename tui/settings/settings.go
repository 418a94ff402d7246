// Package settings reads the file in which a house sets up its bench: how long a held key does not count, the looks, how
// the racket lies on the machine, and keys of its own for a foot pedal.
//
// Call Read; Example is a whole file with comments and the usual values.
package settings

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"pullcard/patterns/assume"
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
	"pullcard/sequence/act"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/room"
	"pullcard/sequence/schedule"
	"pullcard/sequence/shop"
	"pullcard/tui/draw"
)

// Settings are what the file says; what it leaves away has the usual value.
type Settings struct {
	Hold  time.Duration
	Theme string // "auto" or the name of a theme
	ASCII bool
	Far   bool
	Turn  draw.View
	// Bell sounds the terminal's bell before a boosted pull and when mains stand long without crosses, Title shows step,
	// strand and tension in the terminal's title.
	Bell, Title bool
	// Recorder is the command that writes what the microphone hears to its standard output, as WAV.
	Recorder string
	// Print is the command that prints what it gets on its standard input, empty for none; Columns is how wide its paper is.
	Print   string
	Columns int
	// Voice is the command that says what it gets on its standard input, empty for no voice; VoiceWords is the path of the file of its words,
	// empty for the built-in ones.
	Voice, VoiceWords string
	// Stringer is who works at this bench, empty when nobody is named.
	Stringer string
	// Technique is the sheet of a racket of which nothing in the book says another, empty for none.
	Technique string
	// GaugeN is how good the house's gauge is, as one standard deviation of a reading in newtons, and GaugeDays how many days
	// a check of a machine with it counts.
	GaugeN    float64
	GaugeDays int
	// Hours are when the house works.
	Hours schedule.Hours
	// Strain is what the house takes for granted of hoops, strings and its machine as things that give.
	Strain assume.Table
	// Room is how long a bench waits for a room's server that does not answer; no key waits for it.
	Room room.Limits
	// Naming is how the room's wall names whose racket it is.
	Naming shop.Naming
	// Keys are further keys by what they do, beside those that always do it.
	Keys map[string][]string
}

// usualRecorder is the recorder of Linux's sound system; it writes a WAV stream until it is stopped.
const usualRecorder = "arecord -q -t wav -f S16_LE -r 48000 -c 1"

// Usual are the settings of a house that has no file.
func Usual() Settings {
	return Settings{Hold: 700 * time.Millisecond, Theme: "auto", Recorder: usualRecorder, Columns: 48, GaugeN: controlchart.GaugeSD, GaugeDays: shop.GaugeDays, Room: room.UsualLimits(), Naming: shop.Initials}
}

// Acts are what keys can be set for, in the order of the file.
func Acts() []string {
	return []string{"done", "back", "slip", "wrong", "why", "note", "turn", "mirror", "far", "repeat", "numbers", "park", "leave"}
}

// Example is a settings file with comments and the usual values.
const Example = `# How this bench behaves. What is left away has the usual value, which is the one shown here.

hold  = "0.7 s"       # the same key again within this time is a held key and counts once
theme = "auto"        # auto, dark, light, contrast, contrast-light or plain
ascii = false         # draw with ASCII characters only
far   = false         # begin with what is read from afar
turn  = "head up"     # how the frame lies on the machine: head up, right, down or left
other_side = false    # seen from the other side
bell  = false         # ring before a boosted pull, and when the mains stand long without crosses
title = false         # step, strand and tension in the terminal's title
stringer = ""         # who works at this bench, for tickets, charts and the pace
technique = ""        # the sheet of a first job of which the book knows no usual one, as "two-piece-skip"
gauge    = "0.1 kg"   # how good the tension gauge is: two readings in three are no further off
gauge_days = 7        # how many days a check of a machine with it counts
recorder = "arecord -q -t wav -f S16_LE -r 48000 -c 1"   # writes what the microphone hears as WAV, for taps on the bed

print    = ""         # prints tickets and labels: any program that prints what it gets on its standard input, as "lp -d label"
columns  = 48         # characters in a line of its paper, 24 to 200

# When the house is open, as "9:00 to 18:00", and on which days otherwise, as sat = "9:00 to 13:00" or sun = "closed"; breaks as
# ["12:30 to 13:00"]. Nothing is begun in a break, nor what would not be done by closing; without it the queue goes through the night.
[hours]
open   = ""
breaks = []

# A voice says what to do, in short words: any program that says what it gets on its standard input, as "espeak-ng -s 170".
[voice]
command = ""
words   = ""          # the file of its words, for another language; pullcard settings --voice-words prints the built-in one

# What hoops, strings and the machine give, where layout, sheet and job say nothing; pullcard strain lists all numbers.
[strain]
# drawback = "0.5 mm"   # what a clamp gives
# support  = "1000 N/mm"

# How long this bench waits for the server of a room, in the background: no key ever waits for it.
[room]
connect   = "5 s"     # to be let in
statement = "10 s"    # for one answer
keepalive = "10 s"    # between looks whether a silent server is there
unacked   = "15 s"    # for what was sent to be received
poll      = "3 s"     # between looks where nobody says that there is something new
names     = "initials"   # whose racket it is, on the room's wall: initials, number or full

# Further keys, for a foot pedal that sends one of its own; the usual ones go on working. Names are those of single
# letters, f1 to f20, tab, home, end, insert, delete, ctrl+a to ctrl+z.
[keys]
done    = []          # as ["f13"]
back    = []
slip    = []
wrong   = []
why     = []
note    = []
turn    = []
mirror  = []
far     = []
repeat  = []
numbers = []
park    = []
leave   = []
`

// Read reads a settings file; file is its name in messages, themes are the names of the themes. The error is a
// source.Problems with everything that is wrong.
func Read(file string, data []byte, themes []string) (Settings, error) {
	s := Usual()
	doc, err := source.Read(file, data)
	if err != nil {
		return s, err
	}
	r := reader{doc, &s}
	t := doc.Root()
	r.hold(t.Text("hold"))
	r.theme(t.Text("theme"), themes)
	s.ASCII, s.Far = t.Bool("ascii").Value, t.Bool("far").Value
	s.Bell, s.Title = t.Bool("bell").Value, t.Bool("title").Value
	s.Stringer, s.Technique = t.Text("stringer").Value, t.Text("technique").Value
	if v := t.Text("recorder"); v.Given && strings.TrimSpace(v.Value) == "" {
		doc.Problem(v.Pos, "recorder is empty; write the command that records to its standard output, or leave it away")
	} else if v.Given {
		s.Recorder = v.Value
	}
	s.Print = strings.TrimSpace(t.Text("print").Value)
	if v := t.Int("columns"); v.Given && (v.Value < 24 || v.Value > 200) {
		doc.Problem(v.Pos, "columns is %d; write 24 to 200, usually 32 or 48", v.Value)
	} else if v.Given {
		s.Columns = v.Value
	}
	r.gauge(t.Text("gauge"), t.Int("gauge_days"))
	r.turn(t.Text("turn"))
	s.Turn.Mirror = t.Bool("other_side").Value
	if voice := t.Table("voice"); voice != nil {
		s.Voice, s.VoiceWords = strings.TrimSpace(voice.Text("command").Value), voice.Text("words").Value
		if s.VoiceWords != "" && !filepath.IsAbs(s.VoiceWords) {
			s.VoiceWords = filepath.Join(filepath.Dir(file), s.VoiceWords)
		}
	}
	s.Strain = assume.Read(doc, t)
	if hours := t.Table("hours"); hours != nil {
		r.hours(hours)
	}
	if limits := t.Table("room"); limits != nil {
		r.room(limits)
	}
	if keys := t.Table("keys"); keys != nil {
		r.keys(keys)
	}
	_, err = doc.Close()
	return s, err
}

// Words are the words of the voice: those of the file that the settings name, which read reads, or the built-in ones.
func (s Settings) Words(read func(path string) ([]byte, error)) (*act.Table, error) {
	if s.VoiceWords == "" {
		return act.Spoken(), nil
	}
	data, err := read(s.VoiceWords)
	if err != nil {
		return nil, err
	}
	return act.Read(s.VoiceWords, data)
}

type reader struct {
	doc *source.Doc
	s   *Settings
}

func (r reader) hold(v source.Text) {
	if !v.Given {
		return
	}
	d, err := time.ParseDuration(strings.ReplaceAll(v.Value, " ", ""))
	if err != nil || d < 0 || d > 5*time.Second {
		r.doc.Problem(v.Pos, `hold is %q; write 0 s to 5 s, as "0.7 s"`, v.Value)
		return
	}
	r.s.Hold = d
}

// room reads how long a bench waits for a server.
func (r reader) room(t *source.Table) {
	if v := t.Text("names"); v.Given {
		if r.s.Naming = shop.Naming(v.Value); !slices.Contains([]shop.Naming{shop.Initials, shop.Number, shop.FullName}, r.s.Naming) {
			r.doc.Problem(v.Pos, `room.names is %q; write "initials", "number" or "full"`, v.Value)
		}
	}
	l := &r.s.Room
	for _, of := range []struct {
		key string
		to  *time.Duration
	}{{"connect", &l.Connect}, {"statement", &l.Statement}, {"keepalive", &l.Keepalive}, {"unacked", &l.Unacked}, {"poll", &l.Poll}} {
		v := t.Text(of.key)
		if !v.Given {
			continue
		}
		d, err := time.ParseDuration(strings.ReplaceAll(v.Value, " ", ""))
		if err != nil || d < 100*time.Millisecond || d > 10*time.Minute {
			r.doc.Problem(v.Pos, `room.%s is %q; write 0.1 s to 600 s, as "5 s"`, of.key, v.Value)
			continue
		}
		*of.to = d
	}
}

func (r reader) theme(v source.Text, themes []string) {
	if !v.Given {
		return
	}
	if v.Value != "auto" && !slices.Contains(themes, v.Value) {
		r.doc.Problem(v.Pos, "theme %q is not known; %s", v.Value, source.Instead(v.Value, append([]string{"auto"}, themes...)))
	}
	r.s.Theme = v.Value
}

func (r reader) gauge(good source.Text, days source.Int) {
	if good.Given {
		n, err := measure.ParseTension(good.Value)
		if err != nil || n.In(measure.Kg) <= 0 || n.In(measure.Kg) > 2 {
			r.doc.Problem(good.Pos, `gauge is %q; write how good the gauge is, above 0 and up to 2 kg, as "0.1 kg"`, good.Value)
		}
		r.s.GaugeN = n.Newtons()
	}
	if !days.Given {
		return
	}
	if days.Value < 1 || days.Value > 365 {
		r.doc.Problem(days.Pos, "gauge_days is %d; write 1 to 365", days.Value)
	}
	r.s.GaugeDays = days.Value
}

func (r reader) turn(v source.Text) {
	if !v.Given {
		return
	}
	for _, t := range []draw.Turn{draw.HeadUp, draw.HeadRight, draw.HeadDown, draw.HeadLeft} {
		if view := (draw.View{Turn: t}); view.String() == v.Value {
			r.s.Turn.Turn = t
			return
		}
	}
	r.doc.Problem(v.Pos, `turn is %q; write "head up", "head right", "head down" or "head left"`, v.Value)
}

// keys reads the further keys. One key does one thing.
func (r reader) keys(t *source.Table) {
	r.s.Keys = map[string][]string{}
	taken := map[string]string{}
	for _, act := range Acts() {
		for _, k := range t.List(act).Items {
			name := strings.ToLower(k.Value)
			switch {
			case !known(name):
				r.doc.Problem(k.Pos, `keys.%s: %q is no key that can be set; name a letter, f1 to f20, tab, home, end, insert, delete or ctrl and a letter`, act, k.Value)
			case slices.Contains(fixed(), name):
				r.doc.Problem(k.Pos, "keys.%s: %s always does the same; name another key", act, k.Value)
			case taken[name] != "":
				r.doc.Problem(k.Pos, "keys.%s: %s is set for %s already; name another key", act, k.Value, taken[name])
			default:
				taken[name] = act
				r.s.Keys[act] = append(r.s.Keys[act], name)
			}
		}
	}
}

// fixed are the keys that scripts and habits rely on.
func fixed() []string {
	return []string{"s", "w", "n", "v", "m", "f", "b", "p", "q", "?", "r", "k", "j", "ctrl+c"}
}

func known(name string) bool {
	switch name {
	case "tab", "home", "end", "insert", "delete":
		return true
	}
	if len(name) == 1 {
		return name > " " && name <= "~"
	}
	if letter, ok := strings.CutPrefix(name, "ctrl+"); ok {
		return len(letter) == 1 && letter >= "a" && letter <= "z"
	}
	var n int
	_, err := fmt.Sscanf(name, "f%d", &n)
	return err == nil && n >= 1 && n <= 20 && name == fmt.Sprintf("f%d", n)
}
