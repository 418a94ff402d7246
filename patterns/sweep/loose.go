//go:build !sweep && !mutate

package sweep

const nets = false
