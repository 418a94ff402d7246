//go:build !linux

package main

// giveBack does nothing here.
func giveBack() {}
