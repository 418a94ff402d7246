// Package assume holds what the elastic model of hoop and strings takes for granted: a table [strain] that a layout, a technique
// sheet, a job or the settings may give, each number with its unit, its usual value and where that comes from. Nothing of it is
// part of a plan.
//
// Call Read for a table, Over to lay one above another, and Of for the numbers that hold then.
package assume
