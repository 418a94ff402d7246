//go:build sweep

package sweep

const all = true
