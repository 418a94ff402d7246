// Package controlchart tells how steady a shop's readings are: a control chart of one series, what broke its pattern, how two
// machines compare, and how many readings it takes to tell them apart.
//
// A reading is told as a ratio to what was computed for its bed, so that different rackets make one series. Start with
// New for a chart of Points and draw it with SVG or Text. To compare machines, bring their ratios to tensions with
// Tensions, Summarise each lot and Compare them; Propose says whether the gauge bears the difference out. Nothing here
// changes a machine's offset: a person does.
package controlchart
