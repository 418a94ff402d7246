// Package controlchart tells what a shop's readings say and how sure that is: a control chart of one series judged by a
// baseline, how machines compare, and whether a machine's offset is borne out.
//
// The unit is a stringing. Readings of beds, each told as the share of the ordered tension that the bed computes to have,
// go to Stringings, which makes one value of what was read repeatedly; OneInstrument and AtReferenceAge bring them to one
// instrument and one age. For a chart make Points of them, Judge a first period to be the Baseline and give both to New; SVG
// and Text draw it. To compare machines give all stringings to Compare; Propose says whether the gauge bears the difference
// out, Keep whether an offset may be kept. Nothing here changes a machine's offset: a person does.
package controlchart
