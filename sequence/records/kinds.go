package records

import (
	"slices"
	"sync"
)

// Kinds lists the kinds of record, in the order in which a shop meets them. The list is the caller's own.
func Kinds() []Kind { return slices.Clone(kinds()) }

// kinds makes the table once.
var kinds = sync.OnceValue(func() []Kind {
	return []Kind{
		{KindPlayer, "players", "who plays", "", []Field{
			{Key: "name", Label: "name", Help: "as the player wants to be called", Needed: true, Private: true, Sought: true, Called: true},
			{Key: "contact", Label: "contact", Help: "telephone or mail", Private: true, Sought: true},
			{Key: "plays", Label: "plays a week", Help: `how often, for the date to restring, as "3"`, check: count(0, 50)},
			wishTension("every racket"), wishTechnique("every racket"), wishString("every racket"), wishRemarks(),
			{Key: "notes", Label: "notes", Help: "anything", Private: true, Free: true},
			because(),
		}},
		{KindRacket, "rackets", "a player's racket, by its own mark", "player", []Field{
			{Key: "player", Label: "player", Help: "whose it is", Of: KindPlayer, Needed: true},
			{Key: "mark", Label: "mark", Help: `what tells it from the others, as "blue dot"`, Needed: true, Private: true, Sought: true, Called: true},
			{Key: "frame", Label: "frame", Help: `a layout, built in or the house's, or its path, as "club-sixteen"`, Names: KindFrame, Sought: true},
			{Key: "mass", Label: "mass", Help: `unstrung or as it is weighed, as "305 g"`, check: amount(1, 1000, "g")},
			{Key: "balance", Label: "balance", Help: `from the butt, as "320 mm"`, check: length(1, 700)},
			wishTension("this racket"), wishTechnique("this racket"), wishString("this racket"), wishRemarks(),
			{Key: "notes", Label: "notes", Help: "anything", Private: true, Free: true},
			because(),
		}},
		{KindStock, "strings in stock", "a reel, or sets of one string", "", []Field{
			{Key: "name", Label: "string", Help: "the string's name, the same as in the job", Needed: true, Sought: true, Called: true},
			{Key: "form", Label: "form", Help: "reel or sets", Needed: true, Choices: []string{"reel", "sets"}},
			{Key: "length", Label: "length", Help: `of the reel, or of one set, as "200 m"`, Needed: true, check: length(1000, 2e6)},
			{Key: "sets", Label: "sets", Help: `how many sets were bought, as "10"; a reel has none`, check: count(1, 10000)},
			{Key: "diameter", Label: "gauge", Help: `as "1.25 mm"`, check: length(0.4, 2)},
			{Key: "mass", Label: "mass", Help: `as "1.7 g/m"`, check: linearMass},
			{Key: "material", Label: "material", Help: "polyester, nylon, gut or aramid", Choices: []string{"polyester", "nylon", "gut", "aramid"}},
			{Key: "lot", Label: "maker's lot", Help: "the number on the reel", Sought: true},
			{Key: "bought", Label: "bought", Help: `a day, as "2031-05-04"`, check: moment},
			{Key: "notes", Label: "notes", Help: "anything", Free: true},
			because(),
		}},
		{KindCut, "cuts", "string that was cut from the stock", "stock", []Field{
			{Key: "stock", Label: "from", Help: "the reel or sets", Of: KindStock, Needed: true},
			{Key: "length", Label: "length", Help: `as "6.2 m"`, Needed: true, check: length(1, 2e6), Called: true},
			{Key: "for", Label: "for", Help: "job, offcut or broken; count is that of older books, a stocktaking says it now", Needed: true,
				Choices: []string{"job", "offcut", "broken", "count"}, Lead: "for"},
			{Key: "piece", Label: "piece", Help: "mains, crosses or whole", Choices: []string{"mains", "crosses", "whole"}},
			{Key: "job", Label: "job", Help: "for which job", Of: KindJob},
			{Key: "notes", Label: "notes", Help: "anything", Free: true},
			because(),
		}},
		{KindStocktaking, "stocktakings", "what was left of a stock when it was counted", "stock", []Field{
			{Key: "stock", Label: "of", Help: "the reel or sets", Of: KindStock, Needed: true},
			{Key: "left", Label: "left", Help: `what there was, as "152 m"; of sets all that is left of them`, Needed: true, check: length(0, 2e6), Called: true, Lead: "left"},
			{Key: "by", Label: "by", Help: "who counted", Of: KindStringer, Lead: "by"},
			{Key: "notes", Label: "notes", Help: "anything", Free: true},
			{Key: "known", Label: "known", Help: "the cuts and stocktakings that the book had by then and no stocktaking before it knew of", Whole: true, Derived: true},
			because(),
		}},
		{KindMachine, "machines", "a stringing machine", "", []Field{
			{Key: "name", Label: "name", Help: `as "by the window"`, Needed: true, Sought: true, Called: true},
			{Key: "pull", Label: "pull", Help: "constant pull, lockout or drop weight", Choices: []string{"constant pull", "lockout", "drop weight"}},
			{Key: "reach", Label: "reach", Help: `string from the frame to the gripper, as "400 mm"`, check: length(50, 1500)},
			{Key: "offset", Label: "offset", Help: `what is added to the ordered tension on this machine, as "0.3 kg" or "-0.3 kg"; kept with a gauge check that bears it out`, check: signedTension},
			{Key: "accepted", Label: "accepted by", Help: "who accepted the offset"},
			{Key: "again", Label: "offset again", Help: `the offset once more, where it is above 1 kg`, check: signedTension},
			{Key: "checked", Label: "checked", Help: "the gauge check that bears the offset out", Derived: true},
			{Key: "out", Label: "out until", Help: `until when it cannot be used, as "2031-05-05 09:00"; the queue leaves it out until then`, check: moment},
			{Key: "turn", Label: "turn", Help: `how the frame lies on it, as "head left" or "head left, other side"`, Choices: turns()},
			{Key: "notes", Label: "notes", Help: "anything", Free: true},
			because(),
		}},
		{KindGauge, "gauge checks", "what a gauge read when a machine was set", "machine", []Field{
			{Key: "machine", Label: "machine", Help: "which machine", Of: KindMachine, Needed: true},
			{Key: "set", Label: "set", Help: `what the machine was set to, as "24 kg"`, Needed: true, check: tension, Called: true, Lead: "set to"},
			{Key: "read", Label: "read", Help: `what the gauge read, as "23.7 kg"`, Needed: true, check: tension, Lead: "the gauge read"},
			{Key: "stringer", Label: "by", Help: "who read it", Of: KindStringer, Lead: "by"},
			{Key: "notes", Label: "notes", Help: "anything", Free: true},
			because(),
		}},
		{KindStringer, "stringers", "who strings", "", []Field{
			{Key: "name", Label: "name", Help: "as on the ticket", Needed: true, Private: true, Sought: true, Called: true},
			{Key: "since", Label: "away since", Help: `from when, of who is ill or off, as "2031-05-04 13:00"; at once if empty`, Private: true, check: moment},
			{Key: "away", Label: "away until", Help: `until when, as "2031-05-05 09:00", as far as anybody knows; the queue gives them nothing until then`, Private: true, check: moment},
			{Key: "notes", Label: "notes", Help: "anything", Free: true},
			because(),
		}},
		{KindLot, "lots", "several rackets of one player with one set-up", "player", []Field{
			{Key: "player", Label: "player", Help: "whose rackets", Of: KindPlayer, Needed: true},
			{Key: "name", Label: "name", Help: `as "Saturday's seven"`, Needed: true, Private: true, Sought: true, Called: true},
			{Key: "notes", Label: "notes", Help: "anything", Private: true, Free: true},
			because(),
		}},
		{KindJob, "jobs", "a racket to be strung, in work or strung", "player", []Field{
			{Key: "player", Label: "player", Help: "for whom", Of: KindPlayer},
			{Key: "racket", Label: "racket", Help: "which one", Of: KindRacket},
			{Key: "lot", Label: "lot", Help: "of which lot", Of: KindLot},
			{Key: "promised", Label: "promised", Help: `when it will be fetched, as "17:30", "tomorrow 17:30" or "fri 9:00"`, check: moment},
			{Key: "frame", Label: "frame", Help: `a layout, built in or the house's, or its path, as "club-sixteen"; that of the racket if empty`, Names: KindFrame},
			{Key: "technique", Label: "technique", Help: "letters of a sheet, built in or the house's, or its path; empty: as wished, last time, or usual", Names: KindSheet},
			{Key: "tension", Label: "tension", Help: `"24 kg", or "24 kg / 23 kg" for mains / crosses; empty: as wished, or last time`, check: tensions},
			{Key: "mains", Label: "mains from", Help: "the stock of the mains' string; empty: as wished, or last time", Of: KindStock},
			{Key: "crosses", Label: "crosses from", Help: "the stock of the crosses' string; that of the mains if empty", Of: KindStock},
			{Key: "machine", Label: "machine", Help: "on which machine; the only one of the book if empty", Of: KindMachine},
			{Key: "stringer", Label: "stringer", Help: "who strings it", Of: KindStringer},
			{Key: "file", Label: "job file", Help: "the path of a job file, which then says frame, technique, tension and strings", Private: true, File: true},
			{Key: "came", Label: "came with", Help: `how weave and knots lay on it, as "C1 over M1L, knots at 6H and 7T"`, Private: true, Free: true},
			{Key: "notes", Label: "notes", Help: "anything", Private: true, Free: true},
			{Key: "price", Label: "price", Help: `with its currency, as "18 EUR"`, check: money},
			{Key: "paid", Label: "paid", Help: "yes when it is", Choices: []string{Yes}},
			{Key: "handed", Label: "handed over", Help: `when it was fetched, as "17:30" or "2031-05-04 17:30"`, check: moment},
			{Key: "to", Label: "to", Help: "who fetched it", Private: true},
			{Key: "parked", Label: "parked", Help: "yes while it is set aside", Choices: []string{"yes"}, Derived: true},
			{Key: "suggested", Label: "suggested", Help: "the tensions that a verdict suggested", Derived: true},
			{Key: "decided", Label: "decided", Help: "the tensions that the stringer decided on", Derived: true},
			{Key: "reason", Label: "because", Help: "why it is so all the same", Private: true, Asked: true},
			{Key: "set", Label: "set", Help: "what the machine was set to, where its offset makes that another tension", Derived: true},
			{Key: "text", Label: "text", Help: "the text of the job file from which it will be strung", Whole: true, Derived: true},
		}},
		{KindReading, "readings", "what a tap or a gauge said of a strung bed", "job", []Field{
			{Key: "job", Label: "job", Help: "of which job", Of: KindJob, Needed: true},
			{Key: "value", Label: "reading", Help: `with its unit: "612 Hz" of a tap, "32 N/mm" or a gauge's own unit of the stiffness`, Needed: true, check: reading, Called: true},
			{Key: "error", Label: "error", Help: `how far it may be off, at 95 %, in its unit, as "0.4 Hz"`, check: reading, Lead: "±"},
			{Key: "expected", Label: "computes to", Help: "what the bed of that job computes to, in Hz or N/mm", check: reading, Derived: true},
			{Key: "with", Label: "with", Help: "the gauge that was used, or the hand for a tap", Sought: true},
			{Key: "temperature", Label: "temperature", Help: `as "21 C"`, check: amount(-40, 60, "C"), Lead: "at"},
			{Key: "after", Label: "after", Help: `how long after the last knot, as "30 min" or "2 h"`, check: duration, Lead: "after"},
			{Key: "notes", Label: "notes", Help: "anything", Private: true, Free: true},
			because(),
		}},
		{KindHoop, "hoops", "how large a hoop was before stringing and off the machine", "job", []Field{
			{Key: "job", Label: "job", Help: "of which job", Of: KindJob, Needed: true},
			{Key: "before", Label: "before", Help: `length x width inside, unstrung, as "330 x 250 mm"`, Needed: true, check: sides, Called: true},
			{Key: "after", Label: "after", Help: `the same off the machine, as "329.2 x 250.6 mm"`, Needed: true, check: sides, Lead: "after"},
			{Key: "notes", Label: "notes", Help: "anything", Private: true, Free: true},
		}},
		{KindVerdict, "verdicts", "what the player said of a strung racket", "job", []Field{
			{Key: "job", Label: "job", Help: "of which job", Of: KindJob, Needed: true},
			{Key: "answer", Label: "answer", Help: `right, or too tight or too loose: a bit, plainly or far`, Needed: true, Choices: answers(), Called: true},
			{Key: "notes", Label: "notes", Help: "the player's own words", Private: true, Free: true},
		}},
		{KindBaseline, "baselines", "the first period of a chart, from which its limits come", "", []Field{
			{Key: "name", Label: "name", Help: `as "spring, after the service"`, Needed: true, Sought: true, Called: true},
			{Key: "by", Label: "decided by", Help: "who decided on it", Needed: true},
			{Key: "machine", Label: "machine", Help: "of the chart of this machine only", Of: KindMachine},
			{Key: "stringer", Label: "stringer", Help: "of the chart of this stringer only", Of: KindStringer},
			{Key: "mains", Label: "string", Help: "of the chart of this stock only", Of: KindStock},
			{Key: "with", Label: "read with", Help: "the instrument; the one that read most of them if empty"},
			{Key: "stringings", Label: "stringings", Help: "how many, from the first on; all so far if empty", check: count(20, 100000)},
			{Key: "until", Label: "until", Help: "when the last of them was read", Derived: true},
			{Key: "centre", Label: "centre", Help: "their mean", Derived: true},
			{Key: "sigma", Label: "sigma", Help: "how far one lies from it", Derived: true},
			{Key: "trend", Label: "trend", Help: "the chance of such a slope without a trend", Derived: true},
			{Key: "notes", Label: "notes", Help: "anything", Free: true},
		}},
		{KindFrame, "frames", "a frame's layout of the house, which jobs name", "", ofHouse("layout", "club-sixteen-house")},
		{KindSheet, "technique sheets", "a technique sheet of the house, which jobs name", "", ofHouse("technique sheet", "house-two-piece")},
	}
})

// ofHouse are the fields of a file that the house keeps.
func ofHouse(what, example string) []Field {
	return []Field{
		{Key: "name", Label: "name", Help: "by which jobs name it, as \"" + example + "\"; it goes before a built-in one of that name", Needed: true, Sought: true, Called: true, check: fileName},
		{Key: "file", Label: "file", Help: "the path of the " + what + ", whose text is taken from there", File: true},
		{Key: "notes", Label: "notes", Help: "anything", Free: true},
		{Key: "text", Label: "text", Help: "the text of the " + what, Whole: true, Derived: true},
		because(),
	}
}

// because is the field of a reason where something was doubted.
func because() Field {
	return Field{Key: "because", Label: "because", Help: "why it is so all the same", Free: true, Asked: true}
}

// The wishes of a player fill a new job, those for one racket before those for all.

func wishTension(of string) Field {
	return Field{Key: "tension", Label: "tension", Help: `wanted for ` + of + `, as "24 kg" or "24 kg / 23 kg"; fills a new job`, check: tensions}
}

func wishTechnique(of string) Field {
	return Field{Key: "technique", Label: "technique", Help: "the sheet, by its letters, by which " + of + " is strung; fills a new job", Names: KindSheet}
}

func wishString(of string) Field {
	return Field{Key: "string", Label: "string", Help: "the stock that is taken for " + of + " while there is some; fills a new job", Of: KindStock}
}

func wishRemarks() Field {
	return Field{Key: "remarks", Label: "remarks", Help: "what to mind at the machine; goes into the notes of a new job", Private: true, Free: true}
}

// ItIsSo is the reason of somebody who was asked whether something is so, and gave none.
const ItIsSo = "yes, it is so"

// turns are the ways in which a frame lies on a machine, as the picture shows it.
func turns() []string {
	return []string{"head up", "head right", "head down", "head left",
		"head up, other side", "head right, other side", "head down, other side", "head left, other side"}
}

// answers are what a player can say, in the order from far too tight to far too loose.
func answers() []string {
	return []string{"too tight, far", "too tight, plainly", "too tight, a bit", "right", "too loose, a bit", "too loose, plainly", "too loose, far"}
}
