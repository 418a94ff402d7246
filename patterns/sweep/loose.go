//go:build !mutate

package sweep

const nets = false
