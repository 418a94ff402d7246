package browse

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

func TestFindByAFewLetters(t *testing.T) {
	r := newRig(t, till()).shows("2 players").write("wint").shows("1 player", "▶ Ada Winter").hides("Ben Sommer")
	r.press("backspace").shows("find  win").write("x").shows("no players with these letters").press("esc").shows("2 players")
	r.press("down").shows("▶ Ben Sommer").press("down").shows("▶ Ben Sommer").press("up", "up").shows("▶ Ada")
	r.press("right").shows("[rackets]", "3 rackets", "▶ red dot").write("blue").press("tab").shows("[stock]", "1 stock", "Invented Poly 1.25")
	r.press("left").shows("[rackets]", "3 rackets").press("left", "left").shows("[jobs]").press("right").shows("[players]")
	r.write("ada").press(" ").write("w").shows("find  ada w", "1 player")
	assert.Equal(t, "find player  ada w", r.lastAsked("find"))
	require.Equal(t, screen.LeaveMsg{}, r.press("esc", "esc").msg)
}

// The rest of a lot is put in by one key, pressed once more when it was said which rackets that are and how they will be strung.
func TestFillALot(t *testing.T) {
	b := till()
	b.put(records.KindLot, "player", "player-2", "name", "three")
	r := newRig(t, b).press("left", "left", "enter").shows("LOT  three", "f fill").press("f")
	r.shows("into the lot go red dot, green tape, as job 1: 24 kg; f again puts them in", "f again puts them in").press("x").hides("into the lot go")
	assert.Empty(t, r.lastAsked("fill"))
	r.press("f", "f").shows("2 more of the lot wait now", "LOT  three")
	assert.Equal(t, "fill lot-1", r.lastAsked("fill"))
	r.book.fail = errors.New("every racket of that player is in it")
	r.press("f").shows("every racket of that player is in it").hides("f again")
	newRig(t, till()).press("enter").shows("PLAYER").press("f").hides("into the lot")
}

// Letters that found what was opened stay in sight when one comes back, and the next ones begin anew.
func TestLettersAfterAPage(t *testing.T) {
	r := newRig(t, till()).write("wint").press("enter").shows("PLAYER").press("esc").shows("find  wint  letters find another", "1 player", "▶ Ada")
	r.write("so").shows("find  so▏", "▶ Ben Sommer")
	r.press("enter", "esc", "backspace").shows("find  s▏").press("enter", "esc", "esc").shows("2 players")
	r.m = r.m.Sought(records.KindRacket, "blue")
	r.run(r.m.Init())
	r.shows("[rackets]", "1 racket", "find  blue  letters", "blue dot").write("red").shows("find  red▏", "red dot")
}

// The house's own frames and sheets are found in the list as all else; where there is no room for all kinds those beside the one in hand
// are shown.
func TestOwnFramesAndSheets(t *testing.T) {
	b := till()
	b.put(records.KindFrame, "name", "hall-frame", "text", "name = \"Hall\"")
	b.put(records.KindSheet, "name", "house-two", "text", "name = \"House\"")
	r := newRig(t, b).press("left", "left", "left").shows("[sheets]", "1 technique sheet", "▶ house-two").press("left").shows("[frames]", "hall-frame", "1 frame")
	r.press("enter").shows("FRAME  hall-frame").press("esc", "right", "enter").shows("w sheet").press("esc")
	r.m = r.m.SetSize(60, 20)
	r.shows("[sheets]", "…")
	for range lookedUp() {
		r.press("right").shows("[")
		golden.Exact(t, r.m.View(), 60, 20)
	}
}

// A search that is answered late changes nothing any more.
func TestStaleAnswers(t *testing.T) {
	r := newRig(t, till())
	m, early := r.m.Update(golden.Key("b"))
	m, late := m.Update(golden.Key("x"))
	m, _ = m.Update(late())
	m, _ = m.Update(early())
	require.Contains(t, m.View(), "no players with these letters")

	m, page := r.m.Update(golden.Key("enter")) // a page that one no longer waits for
	m, _ = m.Update(golden.Key("esc"))
	m, _ = m.Update(page())
	require.Contains(t, m.View(), "RECORD BOOK")

	r = newRig(t, till()).press("left", "ctrl+n") // matches of a field that is left
	m, matches := r.m.Update(golden.Key("a"))
	m, next := m.Update(golden.Key("tab"))
	m, _ = m.Update(matches())
	require.NotContains(t, m.View(), "ada@example.invalid")
	m, _ = m.Update(next())
	require.Contains(t, m.View(), "red dot")
}

// Enter that comes before the answer takes what is found, and not what was there before.
func TestEnterBeforeTheAnswer(t *testing.T) {
	r := newRig(t, till())
	m, answer := r.m.Update(golden.Key("s"))
	m, cmd := m.Update(golden.Key("enter"))
	require.Nil(t, cmd)
	m, cmd = m.Update(answer())
	m, _ = m.Update(cmd())
	require.Contains(t, m.View(), "PLAYER  Ben Sommer")

	r = newRig(t, till()).press("left", "ctrl+n")
	m, answer = r.m.Update(golden.Key("s"))
	m, cmd = m.Update(golden.Key("enter"))
	require.Nil(t, cmd)
	m, cmd = m.Update(golden.Key("b")) // what is pressed after it waits too, for the next field
	require.Nil(t, cmd)
	m, _ = m.Update(answer())
	require.Contains(t, m.View(), "✓ player        Ben Sommer")
	require.Contains(t, m.View(), "▶ racket        b")
}

func TestAddFromTheList(t *testing.T) {
	r := newRig(t, &memory{}).shows("no players yet; ctrl+n adds one").press("ctrl+n").shows("NEW PLAYER", "needed", "as the player wants to be called")
	r.press("ctrl+s").shows("! missing; it is needed").write("Cleo Frost (invented)").press("enter").to("plays a week").write("2").press("ctrl+s")
	assert.Equal(t, "keep player  name=Cleo Frost (invented) plays=2 ", r.lastAsked("keep"))
	r.shows("PLAYER  Cleo Frost (invented)", "plays a week  2", "is in the book").press("esc").shows("▶ Cleo Frost")
}

func TestProblemsStandBesideTheirFields(t *testing.T) {
	r := newRig(t, till()).press("ctrl+n").write("Dora (invented)").to("plays a week").write("often").press("enter")
	r.shows("▶ plays a week  often", `! "often" is no number from 0 to 50`)
	r.book.fail = fmt.Errorf("book x: add: %w", errors.Join(errors.Join(errors.New("contact: not so"), errors.New("plays: nor so")), errors.New("and the moon is wrong")))
	r.press("backspace", "backspace", "backspace", "backspace", "backspace").write("3").press("ctrl+s")
	r.shows("! and the moon is wrong", "▶ contact", "! not so", "! nor so", "Dora (invented)", "not kept yet")
	r.book.fail = errors.New("book x: the disk is full")
	r.press("ctrl+s").shows("! book x: the disk is full", "Dora (invented)").hides("not so")
	r.press("ctrl+s").shows("PLAYER  Dora (invented)")
}

// What is added to a record is filled in with it, and the page shows it afterwards.
func TestAddWhatBelongs(t *testing.T) {
	r := newRig(t, till()).press("enter", "a").shows("r add a racket • l add a lot • j add a job").press("e", "d", "o", "enter", "x").shows("r add a racket")
	r.press("esc").shows("e correct").press("a", "r").shows("NEW RACKET", "✓ player ", " Ada Winter (invented)", "▶ mark").write("white").press("ctrl+s")
	assert.Equal(t, "keep racket  mark=white player=player-2 ", r.lastAsked("keep"))
	r.shows("PLAYER  Ada Winter", "white is in the book").press("enter").shows("RACKET  white")
	r.press("a").shows("NEW JOB", "✓ player        Ada", "✓ racket        white", "▶ lot").press("ctrl+s")
	assert.Equal(t, "keep job  player=player-2 racket=racket-4 ", r.lastAsked("keep"))
	r.shows("job 2 is in the book; it can be strung when technique and tension are said")
	r = newRig(t, till()).press("left", "enter", "a", "v", "r").shows("◀ right ▶").press("t").shows("◀ too loose, a bit ▶").press("left", "ctrl+s")
	assert.Equal(t, "keep verdict  answer=right job=job-1 ", r.lastAsked("keep"))
	for _, k := range records.Kinds() {
		seen := map[string]bool{}
		for _, n := range belonging(shop.Item{Record: book.Record{Kind: k.Name}}) {
			assert.False(t, seen[letter(n)], "two kinds on %s of a %s", letter(n), k.Name)
			seen[letter(n)] = true
		}
	}
	waits := shop.Item{Record: book.Record{Kind: records.KindJob}, Unstrung: true}
	assert.Equal(t, []records.Name{records.KindHoop}, belonging(waits), "a bed that is not strung has no reading and no verdict")
}

// A field that refers to a record is found by letters; who is picked narrows down what follows, and brings along its owner.
func TestRefer(t *testing.T) {
	r := newRig(t, till()).press("left", "ctrl+n").shows("Ada Winter (invented), Ben Sommer").write("som").shows("▶ Ben Sommer").press("enter")
	r.shows("✓ player        Ben Sommer", "▶ racket", "green tape").hides("blue dot", "▶ green tape").write("g").shows("▶ green tape").press("enter")
	r.shows("✓ racket        green tape").press("shift+tab", "shift+tab", "backspace").hides("✓ player").write("ada").press("enter")
	r.shows("✓ player        Ada").hides("green tape")
	r = newRig(t, till()).press("left", "ctrl+n", "tab").write("blue").press("enter").shows("✓ player        Ada", "✓ racket        blue dot")
	r.press("shift+tab").write("z").shows("no rackets with these letters; the book adds one (b, ctrl+n)").press("enter").shows("▶ racket        z").press("ctrl+s")
	r.shows("pick one of the rackets that are found").press("backspace", "backspace", "ctrl+s")
	assert.Equal(t, "keep job  player=player-2 ", r.lastAsked("keep"))
}

// Of what letters find, what begins so comes first: enter would take the newest of the others for it.
func TestFoundByItsBeginning(t *testing.T) {
	b := till()
	b.put(records.KindRacket, "player", "player-1", "mark", "red")
	b.put(records.KindRacket, "player", "player-1", "mark", "orange")
	newRig(t, b).press("left", "ctrl+n").write("som").press("enter").write("r").shows("▶ red", "  orange").press("enter").shows("✓ racket        red")
}

// A sheet or a frame is found by letters as records are, and a path is typed as it is.
func TestSheetsByTheirLetters(t *testing.T) {
	form := func() *rig { return newRig(t, till()).press("left", "ctrl+n") }
	r := form().to("technique").hides("two-piece-clamp").write("tw").shows("▶ two-piece-clamp", "  two-piece-skip", "enter take")
	r.press("down", "enter").shows("✓ technique     two-piece-knot", "▶ tension").press("shift+tab").hides("two-piece-clamp").press("enter").shows("▶ tension")
	form().to("technique").write("zz").hides("▶ two").press("enter").shows("✓ technique     zz", "▶ tension")
	form().to("technique").write("t").shows("▶ two").press("backspace").hides("▶ two").press("down").shows("▶ tension")
	form().to("frame").write("./tw").hides("twentyone").press("enter").shows("✓ frame         ./tw", "▶ technique").write("sk").press("enter").shows("✓ technique     two-piece-skip")
	form().to("frame").write("club").shows("▶ club-sixteen").write("-sixteen").hides("▶ club").press("enter").shows("✓ frame         club-sixteen", "▶ technique")
}

// Arrows pick while matches are shown and go to other fields otherwise; tab always goes to another field.
func TestArrowsInTheForm(t *testing.T) {
	r := newRig(t, till()).press("left", "ctrl+n", "down").shows("▶ racket").press("up", "up").shows("▶ player").write("e")
	r.shows("▶ Ada").press("up").shows("▶ Ada").press("down", "down").shows("▶ Ben", "▶ player        e").press("up").shows("▶ Ada")
	r.press("tab").shows("▶ racket", "  player        e").press("shift+tab").shows("▶ Ada").press("down", "enter").shows("✓ player        Ben", "▶ racket")
	r.press("down").shows("▶ lot", "no lots yet")
}

// A record that is needed is filled in where there is no other; taken out, it stays out.
func TestTheOnlyRecord(t *testing.T) {
	b := &memory{}
	b.put(records.KindPlayer, "name", "Ada Winter (invented)")
	r := newRig(t, b).press("right", "ctrl+n").shows("✓ player ", " Ada Winter", "▶ mark").press("esc").shows("RECORD BOOK")
	r.press("ctrl+n", "shift+tab", "backspace").shows("▶ player     needed", "Ada Winter").write("w").shows("▶ Ada Winter")
	newRig(t, b).press("left", "ctrl+n").shows("▶ player", "Ada Winter").hides("✓ player")
	newRig(t, till()).press("right", "ctrl+n").shows("▶ player     needed").hides("✓ player")
}

// What the program fills in itself is shown on the page and never asked for.
func TestDerivedFieldsAreNotAsked(t *testing.T) {
	b := till()
	b.record("job-1").Fields["decided"] = "23.5 kg"
	r := newRig(t, b).press("left", "enter").shows("decided", "23.5 kg").press("e").shows("tension", "job file").hides("decided", "parked", "text", "suggested")
	r.press("esc", "enter", "e").shows("reading", "612 Hz").hides("computes to")
}

func TestCorrect(t *testing.T) {
	r := newRig(t, till()).press("right", "enter", "e").shows("CORRECT RACKET  red dot", "Ada Winter", "305 g")
	r.press("ctrl+s").shows("RACKET  red dot", "nothing was changed")
	assert.Empty(t, r.lastAsked("keep"))
	r.press("e").to("mass").press("backspace", "backspace", "backspace", "backspace", "backspace").write("301 g").to("why").write("weighed").press("enter")
	assert.Equal(t, "keep racket racket-3 mass=301 g weighed", r.lastAsked("keep"))
	r.shows("mass    301 g   was 305 g until 2026-11-20, weighed", "red dot is in the book")
	r.press("e").to("frame").press("backspace", "tab").shows("✓ frame").press("esc", "esc").shows("RACKET  red dot", "frame   club-sixteen")
}

func TestCorrectTakesAway(t *testing.T) {
	r := newRig(t, till()).press("right", "right", "enter", "e").to("material")
	r.shows("▶ material     ◀ polyester ▶").press("backspace").shows("◀ - ▶").press("ctrl+s")
	assert.Equal(t, "keep stock stock-1 material= ", r.lastAsked("keep"))
	r.shows("material  nothing   was polyester until 2026-11-20")
}

func TestLeavingTheFormAsksOnce(t *testing.T) {
	r := newRig(t, till()).press("ctrl+n", "esc").shows("RECORD BOOK").press("ctrl+n", "x", "esc").shows("esc once more", "NEW PLAYER")
	r.press("y", "esc").shows("NEW PLAYER", "xy").press("esc").shows("RECORD BOOK")
	assert.Empty(t, r.lastAsked("keep"))
}

func TestLeaveAway(t *testing.T) {
	r := newRig(t, till()).press("enter", "d").shows("d again removes it", "it is named by 2 rackets, 1 job, which").press("x").hides("d again").press("d")
	require.Empty(t, r.lastAsked("leave"))
	r.book.fail = errors.New("the book is locked")
	r.press("d").shows("PLAYER  Ada", "the book is locked")
	r.book.fail = errors.New("the book is shut")
	r.press("d").shows("PLAYER  Ada", "the book is shut").press("d", "d").shows("RECORD BOOK", "1 player", "is removed; pullcard book player recall 2 brings it back").hides("▶ Ada")
	assert.Equal(t, "leave player-2", r.lastAsked("leave"))
	r = newRig(t, till()).press("enter", "enter", "d", "d").shows("PLAYER  Ada", "red dot is removed", "▶ 2026-10-14 · blue dot")
	r.m = r.m.Start(records.KindRacket, "racket-3")
	r.run(r.m.Init())
	r.shows("removed").hides("e correct", "d remove", "a add").press("d", "e", "a").shows("RACKET  red dot")
}

// What is doubted is in sight where the answer is asked for, however many rows the form has.
func TestDoubtsInASmallTerminal(t *testing.T) {
	r := newRig(t, till()).press("left", "ctrl+n")
	r.m = r.m.SetSize(60, 20)
	r.book.fail = shop.Doubts{{Key: "racket", Text: "job 5 of this racket waits already; is this a second one?"}}
	r.press("ctrl+s").shows("! job 5 of this racket waits already", "▶ because", "is it so? ctrl+s again keeps it").hides("came with", "lines 1")
	r.press("shift+tab").shows("came with").press("tab").shows("! job 5 of this racket waits already")
}

// What is doubted is marked beside its field and kept when one says that it is so; where it takes a reason, not without.
func TestDoubtsInTheForm(t *testing.T) {
	r := newRig(t, till()).press("ctrl+n").write("Ada (invented)").hides("because")
	twin := shop.Doubts{{Key: "name", Text: "player 2 is called so already; is this another one?"}}
	r.book.fail = twin
	r.press("ctrl+s").shows("! player 2 is called so already", "▶ because", "is it so? ctrl+s again keeps it").press("ctrl+s")
	assert.Equal(t, "keep player  because=yes, it is so name=Ada (invented) ", r.lastAsked("keep"))
	r.shows("PLAYER  Ada (invented)", "because", "yes, it is so")

	r = newRig(t, till()).press("ctrl+n").write("Ada (invented)")
	r.book.fail = twin
	r.press("ctrl+s").press(slices.Repeat([]string{"shift+tab"}, 10)...).to("name").write(" B").press("ctrl+s")
	assert.Equal(t, "keep player  name=Ada (invented) B ", r.lastAsked("keep"), "what was said is of what was doubted")

	r = newRig(t, till()).press("left", "enter", "e").to("tension").write("30 kg")
	r.book.fail = shop.Doubts{{Key: "tension", Text: "above the printed range", Reason: true}, {Key: "promised", Text: "it is over"}}
	r.press("ctrl+s").shows("! above the printed range", "! it is over", "▶ because", "is it meant so? say why").write("wants it").press("enter")
	assert.Equal(t, "keep job job-1 reason=wants it tension=30 kg ", r.lastAsked("keep"))
}

func TestBackStack(t *testing.T) {
	r := newRig(t, till()).write("ada").press("enter", "down", "down").shows("▶ 2026-10-20").press("enter").shows("JOB  job 1").press("enter").shows("READING  612 Hz")
	r.press("esc").shows("JOB  job 1").press("q").shows("PLAYER  Ada", "▶ 2026-10-20").press("backspace").shows("find  ada", "▶ Ada")
	r.press("enter", "enter")
	r.book.fail = errors.New("the book is gone")
	r.press("esc").shows("RECORD BOOK", "the book is gone")
	r.book.fail = errors.New("the book is gone")
	r.press("enter").shows("RECORD BOOK", "the book is gone")
	r.book.fail = errors.New("no book at all")
	r.write("x").shows("! no book at all").press("enter").shows("! no book at all")
}

// A ticket is printed from a job's page, and what went wrong is said there.
func TestPrintFromAPage(t *testing.T) {
	r := newRig(t, till()).press("left", "enter").shows("t ticket").press("t").shows("printed")
	assert.Equal(t, "print job-1", r.lastAsked("print"))
	r.book.fail = errors.New("nothing prints yet; name what does in the settings")
	r.press("t").shows("nothing prints yet")
	newRig(t, till()).press("enter").hides("t ticket").press("t").shows("PLAYER")
}

// What fills a new job's blank fields is seen before it is kept, and goes where something else is written; another racket asks anew.
func TestBlankFieldsSayWhatFillsThem(t *testing.T) {
	b := till()
	b.blank = map[string]string{"tension": "24 kg / 23 kg, as last time", "mains": "Invented Poly 1.25, as wished for every racket", "technique": "two-piece-skip, as wished for this racket"}
	r := newRig(t, b).press("left", "ctrl+n").hides("as last time").press("tab").write("blue").press("enter")
	r.shows("tension       24 kg / 23 kg, as last time", "mains from    Invented Poly 1.25, as wished for every racket", "technique     two-piece-skip, as wished for this racket")
	r.to("tension").shows("▶ tension       ▏24 kg / 23 kg, as last time").write("2").shows("▶ tension       2 ").hides("as last time")
	r.press("backspace").shows("▏24 kg / 23 kg, as last time").press("ctrl+s")
	assert.Equal(t, "keep job  player=player-2 racket=racket-2 ", r.lastAsked("keep"), "what is shown is not written")
	newRig(t, b).press("left", "ctrl+n").press("tab").write("blue").press("enter").shows("as last time").press("shift+tab", "backspace", "tab").hides("as last time")

	r = newRig(t, b)
	r.m = r.m.Add(records.KindJob, records.Fields{"racket": "racket-2"}, map[string]string{"racket-2": "blue dot"})
	r.run(r.m.Init())
	r.shows("as last time")
}

// Who fetches a strung racket, and when, is known when it is handed over; what was paid is not.
func TestHandOver(t *testing.T) {
	newRig(t, till()).press("left", "enter").hides("hand over").press("h").shows("JOB")
	b := till()
	b.strung = true
	r := newRig(t, b).press("left", "enter").shows("h hand over").press("h").shows("HAND OVER", "▶ price", "✓ handed over  2026-11-20 14:30", "✓ to           Ada Winter (invented)").hides("promised")
	r.write("18 EUR").press("tab", "y", "ctrl+s")
	assert.Equal(t, "keep job job-1 handed=2026-11-20 14:30 paid=yes price=18 EUR to=Ada Winter (invented) ", r.lastAsked("keep"))
	r.shows("JOB", "job 1 is handed over to Ada Winter (invented)").hides("h hand over").press("h").shows("JOB")

	b = till()
	b.strung = true
	p, err := b.Page(t.Context(), "job-1")
	require.NoError(t, err)
	r = newRig(t, b)
	r.m = r.m.HandOver(p)
	require.Equal(t, screen.LeaveMsg{Said: "job 1 is handed over to Ada Winter (invented)"}, r.shows("HAND OVER").press("ctrl+s").msg)
	b.record("job-1").Fields = p.Fields
	r.m = r.m.HandOver(p)
	require.Equal(t, screen.LeaveMsg{}, r.press("esc").msg)
}

func TestOnTheBench(t *testing.T) {
	r := newRig(t, till()).press("left", "enter").shows("o on the bench").press("o")
	assert.Equal(t, "bench job-1", r.lastAsked("bench"))
	assert.Nil(t, newRig(t, till()).press("enter").hides("on the bench").press("o").msg)
}

func TestStart(t *testing.T) {
	r := newRig(t, till())
	r.m = r.m.Start(records.KindJob, "")
	r.run(r.m.Init())
	r.shows("[jobs]", "1 job")
	r.m = r.m.Start(records.KindGauge, "gauge-1")
	r.run(r.m.Init())
	r.shows("GAUGE CHECK  24 kg", "by the window").press("esc").shows("[jobs]", "1 job")
	r.m = r.m.Start(records.KindMachine, "machine-1")
	r.run(r.m.Init())
	r.shows("MACHINE  by the window", "GAUGE CHECKS").press("a").shows("NEW GAUGE CHECK", "✓ machine").press("esc")
	r.book.record("machine-1").Fields["name"] = "by the door"
	r.run(r.m.Init())
	r.shows("MACHINE  by the door").press("esc").shows("[machines]", "▶ by the door")
}

// Nothing happens twice: while the book writes, keys do nothing.
func TestKeysWhileTheBookWrites(t *testing.T) {
	r := newRig(t, till()).press("ctrl+n", "x")
	m, cmd := r.m.Update(golden.Key("ctrl+s"))
	m, twice := m.Update(golden.Key("ctrl+s"))
	require.Nil(t, twice)
	m, _ = m.Update(golden.Key("esc"))
	require.Contains(t, m.View(), "being kept")
	r.m = m
	r.run(cmd)
	r.shows("PLAYER  x")
	r.run(func() tea.Msg { return keptMsg{seq: 1, record: book.Record{}} })
	r.shows("PLAYER  x")
}

// A choice is spelled as any word is, or found by its first letter again and again.
func TestChoicesAreSpelled(t *testing.T) {
	k, _ := records.Find(records.KindVerdict)
	var choices []string
	for _, f := range k.Fields {
		if len(f.Choices) > 0 {
			choices = f.Choices
		}
	}
	for typed, want := range map[string]string{
		"too tight, a": "too tight, a bit", "too tight, a bit": "too tight, a bit", "too loose, p": "too loose, plainly", "r": "right", "t": "too tight, far", "ttt": "too tight, a bit",
		"too tr": "right", "too txight, a": "too tight, a bit", "x": "", "toor": "right", "rt": "too loose, a bit",
	} {
		at, spelled := -1, ""
		for _, r := range typed {
			at, spelled = meant(choices, at, spelled, string(r))
		}
		is := ""
		if at >= 0 {
			is = choices[at]
		}
		assert.Equal(t, want, is, typed)
	}
}
