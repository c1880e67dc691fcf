package main

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

func writeHouse(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: house DIR")
	}
	dir := ts.MkAbs(args[0])
	release := filepath.Join(dir, "1.0.0")
	ts.Check(os.RemoveAll(dir))
	ts.Check(os.CopyFS(release, os.DirFS(smallRelease())))
	ts.Check(os.CopyFS(filepath.Join(release, "examples"), os.DirFS(filepath.Join(scriptDir, "../../engine/compare/testdata/examples"))))
	digest, err := ruleset.Digest(os.DirFS(release))
	ts.Check(err)
	list := "# The releases of the house.\nreleases:\n" +
		"  - version: 1.0.0 # in use\n    digest: " + digest + "\n    state: released\n    from: \"2026-01-01\"\n" +
		"    author: lead-01\n    approved_by: lead-02\n    told: all\n    note: first release\n"
	ts.Check(os.WriteFile(filepath.Join(dir, ruleset.ReleasesFile), []byte(list), 0o666))
}

// refusedByAll runs every command that would use a release which was altered.
func refusedByAll(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: refused DIR TEXT")
	}
	says, err := regexp.Compile(args[1])
	ts.Check(err)
	list := filepath.Join(args[0], ruleset.ReleasesFile)
	before := ts.ReadFile(list)
	for _, command := range []string{
		"list 1.0.0",
		"explain condition.battery.full_charge_gravity --release 1.0.0",
		"check 1.0.0",
		"draft 1.2.0 --from 1.0.0",
		"catalogue",
		"compare 1.0.0 1.1.0",
		"compare 1.1.0 1.0.0",
		"bundle 1.0.0 --output bundle.tar.gz",
		"release 1.1.0 --from-date 2999-01-01 --author a --approved-by b --told c --reason d --note e",
		"release 1.0.0 --from-date 2999-01-01 --author a --approved-by b --told c --reason d --note e",
		"withdraw 1.0.0 --reason altered",
	} {
		cmd := start(ts, append([]string{"visitgauge", "rules"}, append(strings.Fields(command), "--policies", args[0])...))
		var stderr strings.Builder
		cmd.Stderr = &stderr
		demandCode(ts, strconv.Itoa(exitUnjudged), cmd.Run())
		if !says.MatchString(stderr.String()) {
			ts.Fatalf("rules %s says\n%s", command, stderr.String())
		}
		if ts.ReadFile(list) != before {
			ts.Fatalf("rules %s wrote into %s", command, list)
		}
		for _, written := range []string{filepath.Join(args[0], "1.2.0"), "bundle.tar.gz"} {
			if _, err := os.Lstat(ts.MkAbs(written)); err == nil {
				ts.Fatalf("rules %s made %s", command, written)
			}
		}
	}
}

func writeKeys(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: keys NAME")
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	ts.Check(err)
	private, err := x509.MarshalPKCS8PrivateKey(key)
	ts.Check(err)
	public, err := x509.MarshalPKIXPublicKey(key.Public())
	ts.Check(err)
	for _, f := range []struct {
		name, kind string
		der        []byte
	}{{".pem", "PRIVATE KEY", private}, {"-public.pem", "PUBLIC KEY", public}} {
		text := pem.EncodeToMemory(&pem.Block{Type: f.kind, Bytes: f.der})
		ts.Check(os.WriteFile(ts.MkAbs(args[0]+f.name), text, 0o600))
	}
}
