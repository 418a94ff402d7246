package book

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
)

func exported(t *testing.T, b *Book) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, b.Export(context.Background(), &out))
	require.True(t, json.Valid(out.Bytes()), "%s", out.String())
	return out.String()
}

func TestExport(t *testing.T) {
	b := fresh(t)
	assert.Equal(t, "[]\n", exported(t, b))

	newJob(t, b, 2)
	newJob(t, b, 12)
	do(t, b, 1, 0, event(progress.Done, 1), event(progress.Done, 2))
	e := event(progress.Redo, 1)
	e.What, e.Why = "A", `said "slipped"`
	do(t, b, 2, 0, e)
	newJob(t, b, 2)
	do(t, b, 3, 0, event(progress.Done, 1), mishap(2, mended(invented(2), 1, 3)), event(progress.Done, 2))
	assert.Equal(t, `[
{"id":1,"player":"Player one","racket":"Racket two","frame":"Invented sixteen","technique":"Two pieces","plan":"f002","state":"done","step":2,"steps":2,"events":[{"at":"2031-05-04T13:02:02.123456789-03:30","kind":"done","step":1},{"at":"2031-05-04T13:02:03.123456789-03:30","kind":"done","step":2}]},
{"id":2,"player":"Player one","racket":"Racket two","frame":"Invented sixteen","technique":"Two pieces","plan":"f012","state":"open","step":1,"steps":12,"events":[{"at":"2031-05-04T13:02:02.123456789-03:30","kind":"redo","step":1,"what":"A","why":"said \"slipped\""}]},
{"id":3,"player":"Player one","racket":"Racket two","frame":"Invented sixteen","technique":"Two pieces","plan":"f002","state":"open","step":3,"steps":5,"events":[{"at":"2031-05-04T13:02:02.123456789-03:30","kind":"done","step":1},{"at":"2031-05-04T13:02:03.123456789-03:30","kind":"mishap","step":2,"what":"misweave","why":"C1 lies wrong"},{"at":"2031-05-04T13:02:03.123456789-03:30","kind":"done","step":2}]}
]
`, exported(t, b))
}

// torn is a pipe whose reader went away after some bytes.
type torn struct{ left int }

func (w *torn) Write(p []byte) (int, error) {
	if w.left -= len(p); w.left < 0 {
		return 0, errors.New("the reader went away")
	}
	return len(p), nil
}

func TestExportToATornPipe(t *testing.T) {
	b := fresh(t)
	newJob(t, b, 2)
	whole := len(exported(t, b))
	for left := range whole {
		require.ErrorContains(t, b.Export(context.Background(), &torn{left}), "export: the reader went away")
	}
	require.NoError(t, b.Export(context.Background(), &torn{whole}))
	do(t, b, 1, 0, event(progress.Done, 1)) // nothing is left locked
}
