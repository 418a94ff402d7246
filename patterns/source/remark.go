package source

import "strings"

// Remarks are what a file says beside its keys, by their paths: the remark at the end of a key's line, or else those on the lines right
// above it. The bytes must be such as Read accepts.
func Remarks(data []byte) map[string]string {
	out := map[string]string{}
	lines := strings.Split(string(data), "\n")
	for _, e := range Entries(data) {
		if e.Header {
			continue
		}
		end := strings.IndexByte(string(data[e.All.End:]), '\n')
		if end < 0 {
			end = len(data) - e.All.End
		}
		if _, text, there := strings.Cut(string(data[e.All.End:e.All.End+end]), "#"); there {
			out[e.Path] = strings.TrimSpace(text)
			continue
		}
		var above []string
		for n := e.Line - 2; n >= 0; n-- {
			text, remark := strings.CutPrefix(strings.TrimSpace(lines[n]), "#")
			if !remark {
				break
			}
			above = append([]string{strings.TrimSpace(text)}, above...)
		}
		if text := strings.Join(above, " "); text != "" && e.Path != "name" { // above the name stands what the whole file is for
			out[e.Path] = text
		}
	}
	return out
}
