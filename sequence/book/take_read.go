package book

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
)

// read is what the body of a row says, as far as that needs no book.
type read struct {
	whole  bool // the body is the one of the digest
	change *change
	job    *jobBody
	event  *eventBody
	claim  *claimBody
	name   string // of the event
	same   bool   // it is written as this program writes it
	err    error
}

// readAhead reads rows while others are written, on a processor of its own: it is half of what taking in takes. There is room for
// all, so that it ends when nobody asks any more.
func readAhead(rows []Row) <-chan read {
	ahead := make(chan read, len(rows))
	go func() {
		for _, r := range rows {
			ahead <- readBody(r)
		}
	}()
	return ahead
}

func readBody(r Row) (b read) {
	if r.Body == nil {
		return read{whole: true}
	}
	b.whole = r.Whole()
	switch r.Kind {
	case rowRecord, rowForget:
		b.change, b.same, b.err = decode[change](r.Body)
	case rowJob:
		b.job, b.same, b.err = decode[jobBody](r.Body)
	case rowEvent:
		b.event, b.same, b.err = decode[eventBody](r.Body)
		b.name = b.event.name()
	case rowClaim:
		b.claim, b.same, b.err = decode[claimBody](r.Body)
	}
	return b
}

// decode reads a body. One that is written as this program writes it has nothing that this program does not know.
func decode[T any](body []byte) (read *T, same bool, err error) {
	read = new(T)
	if json.Unmarshal(body, read) == nil && canonical(body, read) {
		return read, true, nil
	}
	read = new(T)
	err = strict(body, read)
	if err != nil && strings.Contains(err.Error(), "unknown field") {
		err = fmt.Errorf(newer+"%w", err)
	}
	return read, false, err
}

// canonical says whether a body is written as this program writes it.
func canonical(body []byte, read any) bool {
	text, err := json.Marshal(read)
	return err == nil && bytes.Equal(text, body)
}
