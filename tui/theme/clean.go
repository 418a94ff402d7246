package theme

import "pullcard/patterns/harmless"

// Clean makes text that came from people or files harmless on a terminal, on one line.
func Clean(text string) string { return harmless.Text(text) }
