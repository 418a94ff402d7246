// Package referee plays a stringing plan op by op and proves it: it works out from the plan's terms alone what the
// hands may do, keeps a model of every piece of string, and says where a rule is broken.
//
// Call Check with a whole plan, also one in which something went wrong and was mended. To prove a way out of the middle
// of a job, call From with the steps that were done, play what comes with Step and end it with Finish. Look tells what the
// referee knows of the racket after some steps.
//
// The referee shares the types of a plan with whoever makes one and nothing else: it reads the names of holes and
// strands, finds crossings, runs and boosts by itself.
//
// A piece of string is a line of spans. Between neighbouring spans lies a run outside the frame, at either end of the
// line a tail. A span meets what lies outside in its two ends, the holes; there a clamp, the starting clamp, a knot or
// the gripper can hold. Spans and runs are tensioned or slack, tails are slack.
//
// The rules 1 to 11 are those that every plan keeps. Rule 12 is the order that the terms promise: which end and side comes
// first, whose turn it is, how the crosses start, how many clamps are free for them, when a tail is pulled again. It
// holds as long as nothing goes wrong; in a way back only the lead and what holds the string count.
//
// # What holds
//
// Where tension ends something holds. An op that takes the last holder away breaks rule 1, and the string goes slack back
// to the next one. So does a gripper that slackens, a clamp or a knot that lets go, a strand that breaks or is cut, each
// time as far as the next holder and no further; for these that is no breach, it is what happens.
//
// A pull draws tight from the gripper back to the next holder. A clamp inside the hoop at the very hole keeps the pull
// from the string till it is off. Nothing slack may lie behind the strand that is pulled, with two exceptions: what
// slipped and out of which slack was walked by hand just before, along the line from what holds to the gripper, past the
// centre loop only when the other side was pressed; and with flying clamps the one strand that the pull names. Where what slipped is
// pulled, string is drawn back to the gripper through what was woven since and is slack: those crosses count with those walked out of,
// and beyond the limit the newest come out before.
//
// # When something goes wrong
//
// A fault says what happened and does that to the model. After it the phases may come in any order from the mains on,
// until a strand is laid again. A step that is interrupted holds what was done and then the fault; the gripper may hang on. So
// may it from step to step of a way back, whose steps are single acts, until the way back is over.
//
// A clamp that crept, or whose base slid, still holds; what it holds is low until a re-pull from its exit draws through it
// with that clamp off. A clamp that let go holds nothing until it is set again, a knot that let go never again; their spans
// slipped; of a knot that came open only its own strand does: the strands next to it, as many as slack is walked out of, are low, and what
// lies beyond is held by corners and weave until a pull draws through. They count as pulled, and a re-pull draws them tight, with the boost of the strand's last pull where that was at the same end, for the knot there. The tail of an
// untied knot that was trimmed is too short to be pulled, tied or led on. What the gripper slackens is not pulled any
// more.
//
// A misweave, a wrong place and a kink move nothing, but the strand lies wrong until it is drawn out or cut. An end in a wrong hole
// is there from the fault on that says which end it is: its runs, clamps and knots are found there, until a free tail of it is moved
// into its own hole, or the strand is drawn out or cut. A
// slip that was found late and a wrong setting leave strands doubted until they are slackened or pulled anew. All but
// kinks and slips can be waived by name. A waiver that says from which hole to which makes the wrong hole the strand's own, as another
// layout would have it: there is room for it, it crosses none of its kind, and what is woven meets what it met.
//
// A string that parts in the gripper, or in the jaws on the strand pulled last, can be gripped again where a free tail is
// left. Otherwise the piece of which a strand broke or was cut is lost: nothing of it is tensioned, and until its last
// span is cut no other hand is laid on it, but that what was laid and never pulled may be drawn out by its free tail. When
// the mains are lost, the crosses that are woven into them are lost too.
// A clamp on a line that broke is opened only where the strand was pressed, beside the clamp, and is slack on both sides; on a lost
// piece only where no tension hangs on in corners and weave: the string is parted within a strand of it. On a strand that is cut it
// stands only where no other cut could free it: one of a rail stays there and comes off next, a loose one comes away. Nothing is laid before the last of a lost piece is out; it
// then begins anew. Cuts keep the load even, which is part of rule 11: on each side the innermost main goes first and no
// side is more than one ahead, among the crosses the one nearest the middle of those that are left, and mains and crosses
// take turns while both have to go. A knot falls with its strand, a starting knot without one with the main that it
// sits on.
//
// A hole under a run is threaded only where a note says what string follows in there: the scrap that was left before, or an awl. What
// comes out takes the scrap's place, so that the next one needs its own.
//
// A split hole takes neither strand nor knot unless a sleeve mends it; its knot goes where was chosen.
//
// With a cracked frame the work is over: string is only let go and cut out. Finish then asks for a bare frame.
//
// The totals count plain pulls of all steps, also those that were taken back and done again, the most by which a side
// ever led, and the knots that there are at the end.
package referee
