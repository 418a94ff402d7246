package main

import (
	"reflect"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"golang.org/x/sys/unix"
)

// Most pages of the program's file are given back, and what is needed of them comes again.
func TestGiveBack(t *testing.T) {
	here := reflect.ValueOf(giveBack).Pointer()
	for pc := here &^ (1<<23 - 1); pc < here; pc += 512 {
		if f := runtime.FuncForPC(pc); f != nil {
			f.FileLine(pc) // which reads tables that lie all over the file
		}
	}
	before := memory(t, unix.Getpid(), "RssFile")
	giveBack()
	assert.Less(t, memory(t, unix.Getpid(), "RssFile"), before/2)
}
