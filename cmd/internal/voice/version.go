package voice

import (
	"cmp"
	"runtime/debug"
	"strings"
)

// Version is what this program was built from: a release's number, else the commit and its day, as the build wrote it down.
func Version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "of unknown origin"
	}
	set := map[string]string{}
	for _, s := range info.Settings {
		set[s.Key] = s.Value
	}
	words := []string{strings.TrimPrefix(cmp.Or(info.Main.Version, "(devel)"), "v")}
	if commit := set["vcs.revision"]; commit != "" {
		day, _, _ := strings.Cut(set["vcs.time"], "T")
		words = append(words, "commit "+commit[:min(len(commit), 12)], "of "+day)
	}
	if set["vcs.modified"] == "true" {
		words = append(words, "changed since")
	}
	return strings.Join(words, " ")
}
