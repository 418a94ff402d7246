package book

import (
	"context"
	"crypto/sha256"
	"database/sql"
	_ "embed"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
)

// selectSchema lists what a file has in its schema. What ANALYZE leaves only helps SQLite to choose its way.
const selectSchema = `SELECT coalesce(type, '') || ' ' || coalesce(name, '') || ' of ' || coalesce(tbl_name, '') || ': ' || coalesce(sql, '')
	FROM sqlite_schema WHERE sql IS NULL OR sql NOT IN ('CREATE TABLE sqlite_stat1(tbl,idx,stat)', 'CREATE TABLE sqlite_stat4(tbl,idx,neq,nlt,ndlt,sample)')`

// ownSchemas is what the first scripts make, by their number.
var ownSchemas = sync.OnceValues(func() (all [][]string, err error) {
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	db.SetMaxOpenConns(1) // each has a memory of its own
	ctx := context.Background()
	all = [][]string{nil}
	for _, script := range scripts() {
		if _, err := db.ExecContext(ctx, script); err != nil {
			return nil, err
		}
		made, err := trimmed(ctx, db, selectSchema)
		if err != nil {
			return nil, err
		}
		all = append(all, made)
	}
	return all, nil
})

// ownSums are the sums of ownSchemas, a line each, so that opening a sound book need not make them. A test holds them against
// what the scripts make, and -update writes a new one's.
//
//go:embed schema.sums
var ownSums string

// sum is the same for the same parts in whatever order.
func sum(schema []string) string {
	is := sha256.Sum256([]byte(strings.Join(slices.Sorted(slices.Values(schema)), "\x00")))
	return hex.EncodeToString(is[:])
}

// foreign says how the schema of a file differs from the one that this program gave its version, word by word: a trigger
// from elsewhere would do what nobody asked for while every page is sound.
func foreign(ctx context.Context, q querier, version int) (wrong []string, err error) {
	have, err := trimmed(ctx, q, selectSchema)
	if err != nil {
		return nil, err
	}
	if sums := strings.Fields(ownSums); 0 < version && version <= len(sums) && sum(have) == sums[version-1] {
		return nil, nil
	}
	all, err := ownSchemas()
	if err != nil {
		return nil, err
	}
	own := all[version]
	for _, what := range have {
		if !slices.Contains(own, what) {
			wrong = append(wrong, "its schema has the "+partOf(what)+" that this program has not made so")
		}
	}
	for _, what := range own {
		if !slices.Contains(have, what) {
			wrong = append(wrong, "its schema lacks the "+partOf(what)+" that this program made")
		}
	}
	return wrong, nil
}

// partOf is the kind and the name of a part of a schema.
func partOf(what string) string {
	kind, rest, _ := strings.Cut(what, " ")
	name, _, _ := strings.Cut(rest, " of ")
	return fmt.Sprintf("%.20s %.60q", kind, name)
}

// own says why a file's schema is not this program's.
func (m mark) own(ctx context.Context, q querier) error {
	wrong, err := foreign(ctx, q, m.version)
	if err != nil || len(wrong) == 0 {
		return err
	}
	return fmt.Errorf("%s; somebody has put hands on the file, so it is not used: put back a copy (pullcard book restore FILE)", strings.Join(wrong[:min(len(wrong), 3)], "; "))
}
