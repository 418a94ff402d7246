// Package referee plays a stringing plan op by op and proves it: it works out from the plan's terms alone what the
// hands may do, keeps a model of every piece of string, and says where a rule is broken.
//
// Call Check with a whole plan. To prove a way out of the middle of a job, call New, play the steps that were done with
// Step, Clone the Table as often as there are ways to try, play each of them with Step and end it with Finish.
//
// The referee shares the types of a plan with whoever makes one and nothing else: it reads the names of holes and
// strands, finds crossings, runs and boosts by itself.
//
// A piece of string is a line of spans. Between neighbouring spans lies a run outside the frame, at either end of the
// line a tail. A span meets what lies outside in its two ends, the holes; there a clamp, the starting clamp, a knot or
// the gripper can hold. Spans and runs are tensioned or slack, tails are slack.
package referee
