package book

import (
	"context"
	"database/sql/driver"
	"errors"
	"strings"
)

// conn is what the driver's connections can do that is used here.
type conn interface {
	driver.Conn
	driver.ConnBeginTx
	driver.ConnPrepareContext
	driver.ExecerContext
	driver.QueryerContext
	driver.Pinger
	driver.SessionResetter
	driver.Validator
	copier
}

// compiling is a connection that compiles each statement once: for what a bench writes and takes in, that is most of the time
// which it would take otherwise.
type compiling struct {
	conn
	known map[string]*compiled
}

// compiled is a statement that was compiled; while its rows are being read it is in use.
type compiled struct {
	statement
	used bool
}

type statement interface {
	driver.Stmt
	driver.StmtExecContext
	driver.StmtQueryContext
}

// mostCompiled bounds how many statements are kept. The book's own are fewer; only some are put together as they are needed.
const mostCompiled = 300

// of finds a statement, nil where it is to be done without: a script, what is no statement about rows, one whose rows are being read.
func (c *compiling) of(ctx context.Context, query string) (*compiled, error) {
	if s := c.known[query]; s != nil {
		if s.used {
			return nil, nil
		}
		return s, nil
	}
	verb, _, _ := strings.Cut(strings.TrimSpace(query), " ")
	if !strings.Contains(" SELECT INSERT UPDATE DELETE WITH ", " "+verb+" ") || strings.Contains(query, ";") || len(c.known) >= mostCompiled {
		return nil, nil
	}
	made, err := c.PrepareContext(ctx, query)
	if err != nil {
		return nil, err
	}
	s := &compiled{statement: made.(statement)}
	c.known[query] = s
	return s, nil
}

// ExecContext implements driver.ExecerContext.
func (c *compiling) ExecContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Result, error) {
	s, err := c.of(ctx, query)
	switch {
	case err != nil:
		return nil, err
	case s == nil:
		return c.conn.ExecContext(ctx, query, args)
	}
	return s.ExecContext(ctx, args)
}

// QueryContext implements driver.QueryerContext.
func (c *compiling) QueryContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Rows, error) {
	s, err := c.of(ctx, query)
	switch {
	case err != nil:
		return nil, err
	case s == nil:
		return c.conn.QueryContext(ctx, query, args)
	}
	rows, err := s.QueryContext(ctx, args)
	if err != nil {
		return nil, err
	}
	s.used = true
	return &reading{rows, s}, nil
}

// reading are the rows of a compiled statement.
type reading struct {
	driver.Rows
	of *compiled
}

// Close implements driver.Rows.
func (r *reading) Close() error {
	err := r.Rows.Close()
	r.of.used = false
	return err
}

// Close implements driver.Conn.
func (c *compiling) Close() error {
	var wrong error
	for _, s := range c.known {
		wrong = errors.Join(wrong, s.Close())
	}
	clear(c.known)
	return errors.Join(wrong, c.conn.Close())
}
