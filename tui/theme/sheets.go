package theme

// ink is one colour: for terminals with many colours as "#rrggbb", for those with sixteen as the number of one of them.
type ink struct {
	hex   string
	basic string
}

// sheet is a theme's colours. Words and marks stand on background, the bar's words on bar.
type sheet struct {
	background, bar ink
	role            [roles]ink
}

// dark is a workshop in the evening: slate background, blue mains, linen crosses, one honey-coloured lamp on the work, copper
// for what warns.
func dark() sheet {
	return sheet{
		background: ink{"#12181c", "0"},
		bar:        ink{"#26343b", "4"},
		role: [roles]ink{
			Text: {"#e8e3d7", "15"}, Quiet: {"#a3aeac", "7"}, Title: {"#c9d8dc", "15"},
			Current: {"#ffce4a", "11"}, Boost: {"#ff9d6b", "13"},
			OK: {"#7bd78e", "10"}, Warn: {"#ff9d6b", "13"}, Danger: {"#fb7673", "9"},
			Bar:  {"#f1ece0", "15"},
			Hoop: {"#75838a", "8"}, Free: {"#8b979b", "7"},
			Main: {"#7d9fca", "14"}, Cross: {"#d7c8af", "15"}, Next: {"#7d8d92", "7"},
			Slack: {"#c9b8eb", "7"}, Deferred: {"#f0b1e4", "7"},
			ClampA: {"#79dacb", "14"}, ClampB: {"#ffab91", "7"}, ClampS: {"#f4f1e8", "15"},
			Blocked: {"#fb7673", "9"}, Soon: {"#ff9d6b", "13"}, Knot: {"#e8e3d7", "15"}, Label: {"#a3aeac", "7"},
		},
	}
}

// light is the same workshop at noon: paper background, slate mains, umber crosses, what is to be done in blue ink.
func light() sheet {
	return sheet{
		background: ink{"#faf8f3", "15"},
		bar:        ink{"#e2ddd0", "7"},
		role: [roles]ink{
			Text: {"#22292c", "0"}, Quiet: {"#566165", "8"}, Title: {"#24454f", "0"},
			Current: {"#0a3bd6", "4"}, Boost: {"#7f4100", "5"},
			OK: {"#157153", "8"}, Warn: {"#7f4100", "5"}, Danger: {"#c3191f", "1"},
			Bar:  {"#22292c", "0"},
			Hoop: {"#7f868a", "8"}, Free: {"#737b7f", "8"},
			Main: {"#43659c", "0"}, Cross: {"#79623d", "0"}, Next: {"#7d878b", "8"},
			Slack: {"#6a43a3", "8"}, Deferred: {"#8d2a80", "8"},
			ClampA: {"#00655a", "0"}, ClampB: {"#a3372a", "0"}, ClampS: {"#22292c", "0"},
			Blocked: {"#c3191f", "1"}, Soon: {"#7f4100", "5"}, Knot: {"#22292c", "0"}, Label: {"#566165", "8"},
		},
	}
}

// contrast is for glare and tired eyes: black background, few and strong colours, every pair 7 : 1 or more.
func contrast() sheet {
	return sheet{
		background: ink{"#000000", "0"},
		bar:        ink{"#10243a", "4"},
		role: [roles]ink{
			Text: {"#ffffff", "15"}, Quiet: {"#d0d6d8", "7"}, Title: {"#ffffff", "15"},
			Current: {"#ffe14d", "11"}, Boost: {"#ffb366", "13"},
			OK: {"#82f3a2", "10"}, Warn: {"#ffb366", "13"}, Danger: {"#fb9891", "9"},
			Bar:  {"#ffffff", "15"},
			Hoop: {"#a9b4b8", "7"}, Free: {"#c4ccd0", "7"},
			Main: {"#9fd0ff", "14"}, Cross: {"#f2e5ce", "15"}, Next: {"#aab6ba", "7"},
			Slack: {"#b79bff", "7"}, Deferred: {"#ff9be8", "7"},
			ClampA: {"#74ecd9", "14"}, ClampB: {"#ffb59e", "7"}, ClampS: {"#ffffff", "15"},
			Blocked: {"#fb9891", "9"}, Soon: {"#ffb366", "13"}, Knot: {"#ffffff", "15"}, Label: {"#d0d6d8", "7"},
		},
	}
}

// contrastLight is contrast on white, for a screen in the sun.
func contrastLight() sheet {
	return sheet{
		background: ink{"#ffffff", "15"},
		bar:        ink{"#dfe7f2", "7"},
		role: [roles]ink{
			Text: {"#000000", "0"}, Quiet: {"#2b3033", "0"}, Title: {"#000000", "0"},
			Current: {"#0026b8", "4"}, Boost: {"#5e3304", "5"},
			OK: {"#135931", "8"}, Warn: {"#5e3304", "5"}, Danger: {"#9f0019", "1"},
			Bar:  {"#000000", "0"},
			Hoop: {"#4d5558", "8"}, Free: {"#444b4e", "8"},
			Main: {"#374883", "0"}, Cross: {"#393323", "0"}, Next: {"#4a5458", "8"},
			Slack: {"#4b2a88", "8"}, Deferred: {"#701064", "8"},
			ClampA: {"#004d44", "0"}, ClampB: {"#84210f", "0"}, ClampS: {"#000000", "0"},
			Blocked: {"#9f0019", "1"}, Soon: {"#5e3304", "5"}, Knot: {"#000000", "0"}, Label: {"#2b3033", "0"},
		},
	}
}
