package shop

import "pullcard/patterns/source"

// kindOf tells what kind a file is by the keys that only one kind has, so that one stray key does not decide.
func kindOf(path string, data []byte) (string, error) {
	doc, err := source.Read(path, data)
	if err != nil {
		return "", err
	}
	root := doc.Root()
	kind, most := "", 0
	for _, k := range []struct {
		kind string
		keys []string
	}{
		{"job", []string{"frame", "technique", "player", "racket", "machine", "string"}},
		{"technique", []string{"pieces", "mount", "clamps", "boost", "around", "cut"}},
		{"layout", []string{"sport", "skip", "holes", "start", "hoop", "mains_head", "mains_throat", "shared", "measured"}},
	} {
		has := 0
		for _, key := range k.keys {
			if root.Has(key) {
				has++
			}
		}
		if has > most {
			kind, most = k.kind, has
		}
	}
	switch {
	case most > 0:
		return kind, nil
	case root.IsTable("mains") || root.IsTable("crosses"):
		return "technique", nil
	case root.Has("mains") || root.Has("crosses"):
		return "layout", nil
	case root.Has("tension"):
		return "job", nil
	}
	return "", source.Problems{{File: path, Pos: source.Pos{Line: 1, Col: 1},
		Text: `neither a layout, a technique sheet nor a job; a layout says sport = "tennis", a technique sheet pieces = 2, a job frame = "…" and technique = "…"`}}
}
