package archive

import (
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/tlog"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// TestTamperingIsNamed changes the file by other means than the package, as
// someone with a database tool would, and demands that verification names what
// was changed. The archive has visits V-000 to V-005, each followed by its verdict:
// entries 0 to 11.
func TestTamperingIsNamed(t *testing.T) {
	a, records := filled(t, 6)
	key, public, err := NewKey(strings.NewReader(strings.Repeat("invented", 8)), "archive.test")
	if err != nil {
		t.Fatal(err)
	}
	signed, _, err := a.Checkpoint(t.Context(), key)
	if err != nil {
		t.Fatal(err)
	}
	checkpoint, err := ReadCheckpoint(signed, []string{public})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(a.path)
	if err != nil {
		t.Fatal(err)
	}
	const (
		loose  = `DROP TRIGGER entries_stay; DROP TRIGGER entries_keep; DROP TRIGGER hashes_stay; DROP TRIGGER hashes_keep; DROP TRIGGER content_stays;`
		upward = ` UPDATE entries SET seq = -seq - 1 WHERE seq > %[1]d; UPDATE entries SET seq = -seq - 2 WHERE seq < 0;`
		away   = ` UPDATE entries SET seq = -seq - 1 WHERE seq >= %[1]d; UPDATE entries SET seq = -seq WHERE seq < 0;`
		aLeaf  = `CAST(replace(CAST(leaf AS TEXT), '"V-002"', '"V-099"') AS BLOB)`
	)
	digest := func(n int) string { return records[n].Digest() }
	anew := func(db *sql.DB) error { return rehash(t, db) }
	tests := []struct {
		name string
		sql  string
		then func(*sql.DB) error
		want []string // "index visit: message", in part; each must be found
	}{
		{"an acceptance is changed", `UPDATE entries SET leaf = CAST(replace(CAST(leaf AS TEXT), '"rejected"', '"accepted"') AS BLOB) WHERE seq = 3`, nil,
			[]string{`3 V-001: the verdict of visit "V-001" was changed`}},
		{"a leaf is no document", `UPDATE entries SET leaf = x'00' WHERE seq = 4`, nil,
			[]string{`4 V-002: the record of visit "V-002" cannot be read`, `4 V-002: the record of visit "V-002" was changed`}},
		{"a visit is removed", `DELETE FROM entries WHERE seq = 4`, nil,
			[]string{`4 : an entry was removed, which stood between the verdict of visit "V-001" and the verdict of visit "V-002"`,
				`-1 V-002: a record of visit "V-002" lies there, and no entry names it`,
				`5 V-002: the verdict of visit "V-002" is of a record that no entry adds`}},
		{"a visit is removed and the others numbered anew", `DELETE FROM entries WHERE seq = 4;` + fmt.Sprintf(upward, 4), nil,
			[]string{`4 : an entry was removed`, `-1 V-002: a record of visit "V-002" lies there`}},
		{"a verdict is removed with its bytes", `DELETE FROM content WHERE digest = (SELECT json_extract(CAST(leaf AS TEXT), '$.verdict') FROM entries WHERE seq = 7); DELETE FROM entries WHERE seq = 7`, nil,
			[]string{`7 : an entry was removed, which stood between the record of visit "V-003" and the record of visit "V-004"`}},
		{"two visits change places", `UPDATE entries SET seq = 100 WHERE seq = 2; UPDATE entries SET seq = 2 WHERE seq = 8; UPDATE entries SET seq = 8 WHERE seq = 100`, nil,
			[]string{`V-001: the record of visit "V-001" was moved from place 2 to 8`, `V-004: the record of visit "V-004" was moved from place 8 to 2`}},
		{"a verdict is moved to the end", `UPDATE entries SET seq = 100 WHERE seq = 1;` + fmt.Sprintf(upward, 1), nil,
			[]string{`1 V-000: the verdict of visit "V-000" was moved from place 1 to 11`}},
		{"a visit is put in", fmt.Sprintf(away, 6) + `INSERT INTO entries SELECT 6, kind, 'V-099', serial, ` + aLeaf + ` FROM entries WHERE seq = 4`, nil,
			[]string{`6 V-099: the record of visit "V-099" was put in`}},
		{"a verdict is put in at the end", `INSERT INTO entries SELECT 12, kind, 'V-099', serial, ` + aLeaf + ` FROM entries WHERE seq = 5`, nil,
			[]string{`12 V-099: the verdict of visit "V-099" was put in`}},
		{"an entry is filed under another visit", `UPDATE entries SET visit = 'V-003' WHERE seq = 5`, nil,
			[]string{`5 V-002: the verdict of visit "V-002" is filed as verdict of visit "V-003"`}},
		{"an entry is filed under another machine", `UPDATE entries SET serial = 'WB-7' WHERE seq = 4`, nil,
			[]string{`4 V-002: the record of visit "V-002" is filed as visit of visit "V-002", machine "WB-7"`}},
		{"the bytes of a record are another's", `UPDATE content SET (size, packed) = (SELECT size, packed FROM content WHERE digest = '` + digest(0) + `') WHERE digest = '` + digest(3) + `'`, nil,
			[]string{`6 V-003: the bytes of the record of visit "V-003" were changed`}},
		{"the bytes of a record cannot be unpacked", `UPDATE content SET packed = x'789c01' WHERE digest = '` + digest(3) + `'`, nil,
			[]string{`6 V-003: the bytes of the record of visit "V-003" were changed`}},
		{"the bytes of a record are removed", `DELETE FROM content WHERE digest = '` + digest(3) + `'`, nil,
			[]string{`6 V-003: the bytes of the record of visit "V-003" were removed, by no redaction`}},
		{"bytes are put in", `INSERT INTO content VALUES ('sha256:00', 2, x'789cabae0500017500f9')`, nil,
			[]string{`-1 : bytes lie there that no entry names`}},
		{"an inner hash is changed", `UPDATE hashes SET hash = zeroblob(32) WHERE idx = 2`, nil,
			[]string{`-1 : the hash over entries 0 to 1 was changed`}},
		{"a leaf's hash is changed", `UPDATE hashes SET hash = zeroblob(32) WHERE idx = 0`, nil,
			[]string{`0 V-000: the record of visit "V-000" was changed`}},
		{"a hash is removed", `DELETE FROM hashes WHERE idx = 2`, nil, []string{`-1 : hash 2 is missing`}},
		{"a hash is cut off", `UPDATE hashes SET hash = x'00' WHERE idx = 2`, nil, []string{`-1 : hash 2 has 1 bytes, not 32`}},
		{"hashes are put in", `INSERT INTO hashes VALUES (99999999, zeroblob(32))`, nil, []string{`-1 : hash 99999999 belongs to no entry`}},
		{"a verdict is changed and all hashes written anew", `UPDATE entries SET leaf = CAST(replace(CAST(leaf AS TEXT), '"rejected"', '"accepted"') AS BLOB) WHERE seq = 3`, anew,
			[]string{`0 : the checkpoint of 12 entries by archive.test is not of what lies here`}},
		{"the last visit is cut off with its hashes", `DELETE FROM entries WHERE seq >= 10; DELETE FROM content WHERE digest = '` + digest(5) + `'`, anew,
			[]string{`10 : the checkpoint of 12 entries by archive.test knows 2 that are not here: entries 10 to 11`, `-1 V-005: a verdict of visit "V-005" lies there`}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "changed")
			if err := os.WriteFile(path, whole, 0o666); err != nil {
				t.Fatal(err)
			}
			db, err := sql.Open("sqlite", path)
			if err != nil {
				t.Fatal(err)
			}
			_, err = db.Exec("PRAGMA synchronous=off; BEGIN; " + loose + test.sql)
			if err == nil && test.then != nil {
				err = test.then(db)
			}
			if err == nil {
				_, err = db.Exec("COMMIT")
			}
			if err != nil {
				t.Fatal(err)
			}
			if err := db.Close(); err != nil {
				t.Fatal(err)
			}
			v, err := openArchive(t, path, Options{ReadOnly: true}).Verify(t.Context(), checkpoint)
			if err != nil {
				t.Fatal(err)
			}
			var found []string
			for _, f := range v.Findings {
				found = append(found, fmt.Sprintf("%d %s: %s", f.Index, f.Visit, f.Message))
			}
			for _, want := range test.want {
				hit := false
				for _, f := range found {
					hit = hit || strings.Contains(f, want)
				}
				if !hit {
					t.Errorf("%q was not found, but\n%s", want, strings.Join(found, "\n"))
				}
			}
		})
	}
}

// rehash writes all hashes anew, as someone would who knows how.
func rehash(t *testing.T, db *sql.DB) error {
	t.Helper()
	rows, err := db.Query("SELECT leaf FROM entries ORDER BY seq")
	if err != nil {
		return err
	}
	var leaves []tlog.Hash
	for rows.Next() {
		var leaf []byte
		if err := rows.Scan(&leaf); err != nil {
			return err
		}
		leaves = append(leaves, tlog.RecordHash(leaf))
	}
	if err := rows.Close(); err != nil {
		return err
	}
	all, err := treeOf(leaves)
	if err != nil {
		return err
	}
	if _, err := db.Exec("DELETE FROM hashes"); err != nil {
		return err
	}
	for i, hash := range all {
		if _, err := db.Exec("INSERT INTO hashes VALUES (?, ?)", i, hash[:]); err != nil {
			return err
		}
	}
	return nil
}

// TestSlipsAreStopped asks the database to change what is never changed.
func TestSlipsAreStopped(t *testing.T) {
	a, _ := filled(t, 1)
	for _, query := range []string{
		"UPDATE entries SET visit = 'x'", "DELETE FROM entries", "UPDATE hashes SET hash = x'00'", "DELETE FROM hashes",
		"UPDATE content SET packed = x'00'",
	} {
		if _, err := a.db.Exec(query); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("%s: %v", query, err)
		}
	}
	sound(t, a)
}

// TestCheckpointsNarrowDown holds an archive that was written anew against several
// checkpoints: what was changed lies after the last that holds.
func TestCheckpointsNarrowDown(t *testing.T) {
	a, w := newArchive(t), newWorkshop()
	var checkpoints []Checkpoint
	for n := range 4 {
		add(t, a, w.record(t, fmt.Sprintf("V-%03d", n), n, "WB-1", nil), "1.0.0", verdict.Rejected)
		_, c, err := a.Checkpoint(t.Context(), "")
		if err != nil {
			t.Fatal(err)
		}
		checkpoints = append(checkpoints, c)
	}
	if v, err := a.Verify(t.Context(), checkpoints...); err != nil || len(v.Findings) != 0 || v.Checkpoints != 4 {
		t.Fatalf("%+v, %v", v, err)
	}
	if _, err := a.db.Exec(`DROP TRIGGER entries_stay; DROP TRIGGER hashes_keep;
		UPDATE entries SET leaf = CAST(replace(CAST(leaf AS TEXT), '"rejected"', '"accepted"') AS BLOB) WHERE seq = 5`); err != nil {
		t.Fatal(err)
	}
	if err := rehash(t, a.db); err != nil {
		t.Fatal(err)
	}
	v, err := a.Verify(t.Context(), checkpoints[3], checkpoints[0], checkpoints[2], checkpoints[1])
	if err != nil {
		t.Fatal(err)
	}
	if v.Checkpoints != 2 || len(v.Findings) != 2 || v.Findings[0].Index != 4 || !strings.Contains(v.Findings[0].Message, "among entries 4 to 5") {
		t.Errorf("%+v", v)
	}
}
