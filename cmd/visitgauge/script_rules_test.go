package main

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"os"
	"path/filepath"

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
