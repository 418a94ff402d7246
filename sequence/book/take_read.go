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

// chunk is how many rows are read ahead at once.
const chunk = 32

// readAhead reads rows while others are written, on a processor of its own: it is half of what taking in takes.
func readAhead(rows []Row) (of func(n int) *read) {
	list := make([]read, len(rows))
	done := make(chan int, len(rows)/chunk+1)
	go func() {
		for n := 0; n < len(rows); n += chunk {
			end := min(n+chunk, len(rows))
			for i := n; i < end; i++ {
				list[i] = readBody(rows[i])
			}
			done <- end
		}
	}()
	have := 0
	return func(n int) *read {
		for n >= have {
			have = <-done
		}
		return &list[n]
	}
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
