package progress

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every text of an event is what people said, and goes when somebody is forgotten, unless a key of the bench writes it.
func TestWhatPeopleSayCanBeTakenAway(t *testing.T) {
	for i := range reflect.TypeFor[Event]().NumField() {
		var e Event
		f := reflect.ValueOf(&e).Elem().Field(i)
		if name := reflect.TypeFor[Event]().Field(i).Name; f.Type() != reflect.TypeFor[string]() || name == "What" {
			continue
		}
		f.SetString("words")
		assert.Equal(t, "words", e.Said())
		assert.Equal(t, Event{}, e.Unsaid())
	}
}
