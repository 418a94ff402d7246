package book

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"syscall"
)

// sole is the sign beside a book that one program has it for itself: a file that only one can make, as network disks keep that promise
// where they do not keep locks. All who open the book look for it.
type sole struct {
	path string
	made fs.FileInfo // as the sign was made

	Host string `json:"host"`
	PID  int    `json:"pid"`
}

// takeSole looks whether somebody has a book for himself, and takes it when it is wanted; nil stands for a book that others may open.
// A sign whose program has ended on this machine is taken away.
func takeSole(path string, want bool) (*sole, error) {
	a := &sole{path: path + "-alone"}
	for {
		err := a.seen()
		if err != nil || !want {
			return nil, err
		}
		if err = a.make(); !errors.Is(err, fs.ErrExist) {
			if err != nil {
				return nil, err
			}
			return a, nil
		}
	}
}

// seen says who has the book.
func (a *sole) seen() error {
	text, err := os.ReadFile(a.path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	var other sole
	info, stat := os.Stat(a.path)
	if err = errors.Join(err, stat); err != nil {
		return err
	}
	if err := json.Unmarshal(text, &other); err != nil {
		return fmt.Errorf("%s says that somebody has the book alone, but not who; remove that file if nobody has (%w)", a.path, err)
	}
	if host, err := os.Hostname(); err == nil && host == other.Host && !runs(other.PID) {
		return gone(a.path) // it was ended before it could tidy up
	}
	return fmt.Errorf("it is open alone on the machine %q (process %d, since %s) because it lies on a network disk; close it there, or if nothing runs there any more remove %s",
		other.Host, other.PID, info.ModTime().Format("2006-01-02 15:04"), a.path)
}

// make makes the sign; one that cannot be written whole is taken away.
func (a *sole) make() (err error) {
	if a.Host, err = os.Hostname(); err != nil {
		return err
	}
	a.PID = os.Getpid()
	text, err := json.Marshal(a)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(a.path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		a.made, err = os.Stat(a.path)
	}
	if err != nil {
		return errors.Join(err, gone(a.path))
	}
	return nil
}

// stands says whether the sign is still there and still this program's: where somebody took it away, as its words say for a machine on which
// nothing runs any more, another may have the book.
func (a *sole) stands() bool {
	is, err := os.Stat(a.path)
	return err == nil && os.SameFile(is, a.made) && is.ModTime().Equal(a.made.ModTime())
}

// leave takes the sign away.
func (a *sole) leave() error {
	if a == nil || !a.stands() {
		return nil
	}
	return gone(a.path)
}

// runs says whether a process of this machine runs.
func runs(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	err = p.Signal(syscall.Signal(0))
	return !errors.Is(err, os.ErrProcessDone) && !errors.Is(err, syscall.ESRCH)
}
