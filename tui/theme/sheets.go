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

// dark is a workshop in the evening: slate background, blue mains, linen crosses, one honey-coloured lamp on the work.
func dark() sheet {
	return sheet{
		background: ink{"#12181c", "0"},
		bar:        ink{"#26343b", "4"},
		role: [roles]ink{
			Text: {"#e8e3d7", "15"}, Quiet: {"#a3aeac", "7"}, Title: {"#c9d8dc", "15"},
			Current: {"#ffce4a", "11"}, Boost: {"#ff9d6b", "13"},
			OK: {"#8ed6a6", "10"}, Warn: {"#f3c969", "11"}, Danger: {"#ff8579", "9"},
			Bar:  {"#f1ece0", "15"},
			Hoop: {"#75838a", "8"}, Free: {"#8b979b", "7"},
			Main: {"#7d9fca", "14"}, Cross: {"#d8c8ae", "7"}, Next: {"#7d8d92", "7"},
			Slack: {"#c9b8eb", "13"}, Deferred: {"#f0b1e4", "13"},
			ClampA: {"#79dacb", "14"}, ClampB: {"#ffab91", "13"}, ClampS: {"#f4f1e8", "15"},
			Blocked: {"#ff8579", "9"}, Soon: {"#f3c969", "11"}, Knot: {"#e8e3d7", "15"}, Label: {"#a3aeac", "7"},
		},
	}
}

// light is the same workshop at noon: paper background, ink-blue mains, umber crosses.
func light() sheet {
	return sheet{
		background: ink{"#faf8f3", "15"},
		bar:        ink{"#e2ddd0", "7"},
		role: [roles]ink{
			Text: {"#22292c", "0"}, Quiet: {"#566165", "8"}, Title: {"#24454f", "4"},
			Current: {"#b81c31", "1"}, Boost: {"#8a3a00", "5"},
			OK: {"#1c6e43", "4"}, Warn: {"#744d00", "5"}, Danger: {"#c62522", "1"},
			Bar:  {"#22292c", "0"},
			Hoop: {"#7f868a", "8"}, Free: {"#737b7f", "8"},
			Main: {"#206dc4", "4"}, Cross: {"#745d39", "0"}, Next: {"#7d878b", "8"},
			Slack: {"#6a43a3", "5"}, Deferred: {"#8d2a80", "5"},
			ClampA: {"#00655a", "4"}, ClampB: {"#a3372a", "5"}, ClampS: {"#22292c", "0"},
			Blocked: {"#c82f36", "1"}, Soon: {"#7d5300", "5"}, Knot: {"#22292c", "0"}, Label: {"#566165", "8"},
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
			Current: {"#ffe14d", "11"}, Boost: {"#ffb380", "13"},
			OK: {"#9af0b8", "10"}, Warn: {"#ffe14d", "11"}, Danger: {"#ff9c94", "9"},
			Bar:  {"#ffffff", "15"},
			Hoop: {"#a9b4b8", "7"}, Free: {"#c4ccd0", "7"},
			Main: {"#9fd0ff", "14"}, Cross: {"#f2e5ce", "15"}, Next: {"#aab6ba", "7"},
			Slack: {"#b79bff", "13"}, Deferred: {"#ff9be8", "13"},
			ClampA: {"#74ecd9", "14"}, ClampB: {"#ffb59e", "13"}, ClampS: {"#ffffff", "15"},
			Blocked: {"#ff9c94", "9"}, Soon: {"#ffe14d", "11"}, Knot: {"#ffffff", "15"}, Label: {"#d0d6d8", "7"},
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
			Current: {"#a80020", "1"}, Boost: {"#551800", "5"},
			OK: {"#00502a", "4"}, Warn: {"#4c3002", "5"}, Danger: {"#a1002a", "1"},
			Bar:  {"#000000", "0"},
			Hoop: {"#4d5558", "8"}, Free: {"#444b4e", "8"},
			Main: {"#374883", "4"}, Cross: {"#2e2a1e", "0"}, Next: {"#4a5458", "8"},
			Slack: {"#4b2a88", "5"}, Deferred: {"#701064", "5"},
			ClampA: {"#004d44", "4"}, ClampB: {"#84210f", "5"}, ClampS: {"#000000", "0"},
			Blocked: {"#a80020", "1"}, Soon: {"#4c3002", "5"}, Knot: {"#000000", "0"}, Label: {"#2b3033", "0"},
		},
	}
}
