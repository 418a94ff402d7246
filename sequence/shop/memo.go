package shop

import (
	"bytes"
	"context"
	"maps"
	"reflect"
	"slices"
	"sync"
	"time"

	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/schedule"
	"pullcard/sequence/verdict"
)

// memo is what was worked out and stays so while the program runs and what it follows from stays.
type memo struct {
	sync.Mutex
	works     map[string]schedule.Work // of finished jobs, by their UIDs
	drafts    map[[2]string]drafted    // of job files and their texts that name no file
	kept      [2]map[string][]byte     // what the house kept then
	keptAt    int64                    // the book's version when that was looked at
	demo      *Work                    // which was proven
	begun     map[string]begunJob      // by the UIDs of jobs in work
	paces     paced
	called    called
	played    played
	undecided undecided
}

// paced are the paces of a day as the book had them at a version.
type paced struct {
	version int64
	day     string
	of      map[string]schedule.Pace
}

// called is what those of a queue are called, by their UIDs, as the book was at a version.
type called struct {
	version int64
	of      map[string]string
}

// drafted is the work of a job's text, the pieces to cut for it and its beds.
type drafted struct {
	*Work
	pieces []grid.Piece
	bed    verdict.Bed
}

// onceEach computes a bed once at the same tensions.
func onceEach(bed verdict.Bed) verdict.Bed {
	var lock sync.Mutex
	type figures struct{ stiffness, hz float64 }
	known := map[[2]measure.Tension]figures{}
	return func(mains, crosses measure.Tension) (stiffness, hz float64, err error) {
		lock.Lock()
		defer lock.Unlock()
		at := [2]measure.Tension{mains, crosses}
		f, has := known[at]
		if !has {
			if f.stiffness, f.hz, err = bed(mains, crosses); err != nil {
				return 0, 0, err
			}
			known[at] = f
		}
		return f.stiffness, f.hz, nil
	}
}

// begunJob is a job in work as it was at its last event.
type begunJob struct {
	last  time.Time
	step  int
	plan  *plan.Plan // the first one
	state progress.State
}

// played is a queue as it was played last.
type played struct {
	minute time.Time
	line   []schedule.Waiting
	floor  schedule.Floor
	slots  []schedule.Slot
}

// mostDrafts bounds how many are kept: some times a long queue.
const mostDrafts = 2000

// drafted is draft, once for each text unless that names files, which may change, and as long as the house keeps the same.
func (s *Shop) drafted(file, text string) (drafted, error) {
	key := [2]string{file, text}
	s.memo.Lock()
	d, known := s.memo.drafts[key]
	s.memo.Unlock()
	if known {
		return d, nil
	}
	files, reads := s.Files, false
	files.Read = func(path string) ([]byte, error) {
		reads = true
		return s.Read(path)
	}
	w, err := files.draft(file, []byte(text))
	if err != nil {
		return drafted{}, err
	}
	if d = (drafted{w, toCut(w), onceEach(verdict.BedOf(w.Work))}); reads {
		return d, nil
	}
	s.memo.Lock()
	defer s.memo.Unlock()
	if s.memo.drafts == nil || len(s.memo.drafts) >= mostDrafts {
		s.memo.drafts = map[[2]string]drafted{}
	}
	s.memo.drafts[key] = d
	return d, nil
}

// asKept lets go of drafts where the house keeps other frames and sheets than when they were made, as the book is at a version.
func (s *Shop) asKept(version int64) error {
	s.memo.Lock()
	same := s.memo.keptAt == version
	s.memo.Unlock()
	if same {
		return nil
	}
	var now [2]map[string][]byte
	for i, of := range []shelved{layouts(), techniques()} {
		var err error
		if now[i], err = s.kept(of); err != nil {
			return err
		}
	}
	s.memo.Lock()
	defer s.memo.Unlock()
	if !maps.EqualFunc(now[0], s.memo.kept[0], bytes.Equal) || !maps.EqualFunc(now[1], s.memo.kept[1], bytes.Equal) {
		s.memo.drafts, s.memo.kept = nil, now
	}
	s.memo.keptAt = version
	return nil
}

// demo is Demo, proven once.
func (s *Shop) demo() (*Work, error) {
	s.memo.Lock()
	defer s.memo.Unlock()
	if s.memo.demo == nil {
		w, err := s.Demo()
		if err != nil {
			return nil, err
		}
		s.memo.demo = w
	}
	return s.memo.demo, nil
}

// stands tells of jobs in work what is known since their last event, and which are to be read.
func (s *Shop) stands(open []book.Card) (known map[string]begunJob, ids []int64) {
	s.memo.Lock()
	defer s.memo.Unlock()
	known = map[string]begunJob{}
	for _, c := range open {
		e := c.Entry
		if b, ok := s.memo.begun[e.UID]; ok && b.last.Equal(e.Last) && b.step == e.Step {
			known[e.UID] = b
			continue
		}
		ids = append(ids, e.ID)
	}
	s.memo.begun = known
	return maps.Clone(known), ids
}

// stood keeps how a job in work stands.
func (s *Shop) stood(uid string, b begunJob) {
	s.memo.Lock()
	defer s.memo.Unlock()
	s.memo.begun[uid] = b
}

// paces are how fast the newest rackets were strung, by the UIDs of who strung them, as the book is at a version.
func (s *Shop) paces(ctx context.Context, version int64) (map[string]schedule.Pace, error) {
	now := s.Now()
	s.memo.Lock()
	was := s.memo.paces
	s.memo.Unlock()
	if was.of != nil && was.version == version && was.day == day(now) {
		return maps.Clone(was.of), nil
	}
	works, err := s.works(ctx)
	if err != nil {
		return nil, err
	}
	of := schedule.Paces(now, works)
	s.memo.Lock()
	defer s.memo.Unlock()
	s.memo.paces = paced{version, day(now), of}
	return maps.Clone(of), nil
}

// calls is names, asked once as long as the book is at a version.
func (s *Shop) calls(ctx context.Context, version int64, uids []string) (map[string]string, error) {
	s.memo.Lock()
	was := s.memo.called
	s.memo.Unlock()
	if was.version == version && !slices.ContainsFunc(uids, func(uid string) bool { return uid != "" && was.of[uid] == "" }) {
		return maps.Clone(was.of), nil
	}
	of, err := s.names(ctx, uids...)
	if err != nil {
		return nil, err
	}
	s.memo.Lock()
	defer s.memo.Unlock()
	s.memo.called = called{version, of}
	return maps.Clone(of), nil
}

// play is schedule.Queue, once for each minute in which nothing else is to be strung and nobody else strings.
func (s *Shop) play(line []schedule.Waiting, f schedule.Floor) ([]schedule.Slot, error) {
	now := s.Now()
	minute := now.Truncate(time.Minute)
	s.memo.Lock()
	was := s.memo.played
	s.memo.Unlock()
	if was.minute.Equal(minute) && reflect.DeepEqual(was.line, line) && reflect.DeepEqual(was.floor, f) {
		return was.slots, nil
	}
	slots, err := schedule.Queue(now, line, f)
	if err != nil {
		return nil, err
	}
	s.memo.Lock()
	defer s.memo.Unlock()
	s.memo.played = played{minute, line, f, slots}
	return slots, nil
}
