package theme

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Contrast is the contrast ratio of two colours written "#rrggbb", 1 to 21, as WCAG 2.x defines it: L = .2126 R +
// .7152 G + .0722 B on linearised channels, ratio (L1 + .05) / (L2 + .05), the lighter first.
func Contrast(a, b string) (float64, error) {
	la, err := luminance(a)
	if err != nil {
		return 0, err
	}
	lb, err := luminance(b)
	if err != nil {
		return 0, err
	}
	return (max(la, lb) + .05) / (min(la, lb) + .05), nil
}

func luminance(hex string) (float64, error) {
	c, err := linear(hex)
	return .2126*c[0] + .7152*c[1] + .0722*c[2], err
}

// linear reads "#rrggbb" as the light of its three channels, 0 to 1. WCAG 2.x puts the knee at .03928.
func linear(hex string) (c [3]float64, err error) {
	v, err := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 24)
	if err != nil || len(hex) != 7 || hex[0] != '#' {
		return c, fmt.Errorf(`theme: %q is no colour; write it as "#1a2b3c"`, hex)
	}
	for i := range c {
		x := float64(v>>(16-8*i)&0xff) / 255
		if x <= .03928 {
			c[i] = x / 12.92
		} else {
			c[i] = math.Pow((x+.055)/1.055, 2.4)
		}
	}
	return c, nil
}
