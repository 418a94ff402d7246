package tap

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// ParseBand reads a band to listen in, as "400-700" in Hz.
func ParseBand(text string) (lowHz, highHz float64, err error) {
	low, high, found := strings.Cut(text, "-")
	var wrong [2]error
	lowHz, wrong[0] = strconv.ParseFloat(strings.TrimSpace(low), 64)
	highHz, wrong[1] = strconv.ParseFloat(strings.TrimSpace(high), 64)
	if !found || errors.Join(wrong[:]...) != nil || !(lowHz > 0 && highHz > lowHz && highHz < 1e5) {
		return 0, 0, fmt.Errorf("%s is no band; write its two frequencies in Hz, as 400-700", text)
	}
	return lowHz, highHz, nil
}

// ParseHz reads a reading as somebody types it, "612.4" or "612.4 Hz"; ok says that it is a number. The error says that no bed rings so.
func ParseHz(text string) (hz float64, ok bool, err error) {
	hz, wrong := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.ToLower(text), "hz")), 64)
	if wrong == nil && !(hz >= 50 && hz <= 5000) {
		err = fmt.Errorf("%s: no bed rings so; write the frequency in Hz, as 612.4", text)
	}
	return hz, wrong == nil, err
}
