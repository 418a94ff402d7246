package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
)

// openReadOnly opens a book that is only read: nothing of it is changed, not even its version. It is to be closed.
func openReadOnly(ctx context.Context, path string) (*sql.DB, mark, error) {
	if err := mustExist(path); err != nil {
		return nil, mark{}, err
	}
	db, err := sql.Open("sqlite", dsn(path)+"&_pragma=query_only(1)")
	if err != nil {
		return nil, mark{}, err
	}
	db.SetMaxOpenConns(1)
	m, err := readMark(ctx, db)
	if err == nil {
		err = m.checkOurs()
	}
	if err == nil && m.fresh() {
		err = errors.New("the file is empty; it holds no book")
	}
	if err != nil {
		return nil, m, errors.Join(err, db.Close())
	}
	return db, m, nil
}

// checkOurs says why a file is no book that this program can use. A file that is still empty is none of another program.
func (m mark) checkOurs() error {
	if !m.fresh() && m.application != application {
		return fmt.Errorf("the file belongs to another program; name another file for the book")
	}
	if m.version < 0 {
		return fmt.Errorf("the book says that it is of version %d, so its beginning is damaged; put back a copy (pullcard book restore FILE)", m.version)
	}
	if m.version > len(scripts()) {
		return tooNew(m.version, len(scripts()))
	}
	return nil
}

func tooNew(version, known int) error {
	return fmt.Errorf("the book was written by a newer version of this program (book version %d, this program knows up to %d); use that one",
		version, known)
}

// integrityCheck lets SQLite read every page and lists what is wrong in them, at most a hundred findings.
func integrityCheck(ctx context.Context, q querier) (wrong []string, err error) {
	for _, query := range []string{
		"SELECT integrity_check FROM pragma_integrity_check WHERE integrity_check <> 'ok'",
		`SELECT "table" || ' row ' || coalesce(rowid, '?') || ' names a row of ' || parent || ' that is not there' FROM pragma_foreign_key_check LIMIT 100`,
	} {
		found, err := trimmed(ctx, q, query)
		if damaged(err) {
			return append(wrong, err.Error()), nil
		}
		if err != nil {
			return nil, err
		}
		wrong = append(wrong, found...)
	}
	return wrong, nil
}

// checkWhole says why a file is not a whole book of ours.
func checkWhole(ctx context.Context, path string) (err error) {
	db, m, err := openReadOnly(ctx, path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if err := m.own(ctx, db); err != nil {
		return err
	}
	wrong, err := integrityCheck(ctx, db)
	if err == nil && len(wrong) > 0 {
		err = fmt.Errorf("the file is damaged: %s", strings.Join(wrong[:min(len(wrong), 3)], "; "))
	}
	return err
}
