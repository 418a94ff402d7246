// Package sequence turns a frame, a technique sheet and a job's tensions into an ordered list of steps.
//
// ReadTechnique and ReadJob read the files, Build makes the plan. A plan is proved by package referee before it is
// shown to anybody.
package sequence
