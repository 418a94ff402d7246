// Package referee plays a stringing plan op by op and proves it: it works out from the plan's terms alone what the
// hands may do, keeps a model of every piece of string, and says where a rule is broken.
//
// Call Check with a whole plan, also one in which something went wrong and was mended. To prove a way out of the middle
// of a job, call From with the steps that were done, Clone the Table as often as there are ways to try, play each of
// them with Step and end it with Finish.
//
// The referee shares the types of a plan with whoever makes one and nothing else: it reads the names of holes and
// strands, finds crossings, runs and boosts by itself.
//
// A piece of string is a line of spans. Between neighbouring spans lies a run outside the frame, at either end of the
// line a tail. A span meets what lies outside in its two ends, the holes; there a clamp, the starting clamp, a knot or
// the gripper can hold. Spans and runs are tensioned or slack, tails are slack.
//
// # When something goes wrong
//
// A fault says what happened and does that to the model. After it the phases may come in any order from the mains on,
// until a strand is laid again.
//
// A misweave and a wrong hole change nothing that the model holds, but the strand lies wrong until it is drawn out or cut.
// A slip that was found late is doubted until the gripper has let the strand go or it is out. With a strand that lies
// wrong or is doubted no racket is finished, whatever else went wrong in between.
//
// A clamp that slipped stays where it is but holds nothing until it is set again; a knot that slipped never holds
// again. From there the string is slack back to the next thing that holds it, and its spans are marked as slipped: they
// count as pulled, and a re-pull, at the tension of the strand's own pull, may draw any number of them tight. Where the
// string that went slack lies outside the hole, as behind the clamp on the first main, the re-pull at the clamp's hole
// draws the loop. A clamp between gripper and string keeps the pull from it until it is off. The tail of an untied knot
// that was trimmed is too short to be pulled, tied or led on.
//
// When the gripper slackens, every span that goes slack counts as not pulled and is pulled once more as any other. The
// way back keeps the lead as the way forward does. A strand is drawn out only when it is slack, free, and at the end of
// its line.
//
// A piece of which a strand broke or was cut is lost: nothing of it is tensioned, and until its last span is cut no
// other hand is laid on it. When the mains are lost, the crosses that are woven into them are lost too, and count as
// slack. Nothing is laid before the last of a lost piece is out; it then begins anew. Cuts keep the load even, which is
// part of rule 11: on each side the innermost main goes first and no side is more than one ahead, among the crosses
// the one nearest the middle of those that are left, and mains and crosses take turns while both have to go. The first
// cut of a piece that nothing has happened to comes before its clamps come off; a clamp on that very strand comes away
// with it. A knot falls with its strand, a starting knot without one with the main that it sits on.
//
// With a cracked frame the work is over: string is only let go and cut out. A clamp may then come off a tensioned
// string, which goes slack. Finish then asks for a bare frame.
//
// The totals count plain pulls of all steps, also those that were taken back and done again, the most by which a side
// ever led, and the knots that there are at the end.
package referee
