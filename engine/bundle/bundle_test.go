package bundle_test

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/rsa"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"io"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/bundle"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

var release = os.DirFS("../ruleset/testdata/small")

func load(t *testing.T) *ruleset.Set {
	t.Helper()
	set, err := ruleset.Load(t.Context(), release, ruleset.Options{Version: "1.0.0"})
	if err != nil {
		t.Fatal(err)
	}
	return set
}

func write(t *testing.T, opt bundle.Options) []byte {
	t.Helper()
	data, err := bundle.Write(release, load(t), opt)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// pair makes a pair of keys for an algorithm.
func pair(t *testing.T, algorithm string) (signing, verification *bundle.Key) {
	t.Helper()
	var private crypto.Signer
	var err error
	switch algorithm {
	case "HS256":
		key := &bundle.Key{ID: "lead", Text: "a secret of both sides", Algorithm: algorithm}
		return key, key
	case "ES256":
		private, err = ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	default:
		private, err = rsa.GenerateKey(rand.Reader, 2048)
	}
	if err != nil {
		t.Fatal(err)
	}
	privateDER, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	publicDER, err := x509.MarshalPKIXPublicKey(private.Public())
	if err != nil {
		t.Fatal(err)
	}
	text := func(kind string, der []byte) string {
		return string(pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: der}))
	}
	return &bundle.Key{ID: "lead", Text: text("PRIVATE KEY", privateDER), Algorithm: algorithm},
		&bundle.Key{ID: "lead", Text: text("PUBLIC KEY", publicDER), Algorithm: algorithm}
}

// file is one file of a bundle.
type file struct {
	name string
	data []byte
}

func unpack(t *testing.T, data []byte) []file {
	t.Helper()
	z, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	var out []file
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		content, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, file{h.Name, content})
	}
}

func pack(t *testing.T, files []file) []byte {
	t.Helper()
	var out bytes.Buffer
	z := gzip.NewWriter(&out)
	w := tar.NewWriter(z)
	for _, f := range files {
		if err := w.WriteHeader(&tar.Header{Name: f.name, Mode: 0o600, Size: int64(len(f.data))}); err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(f.data); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(w.Close(), z.Close()); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestSameReleaseSameBytes(t *testing.T) {
	once := write(t, bundle.Options{})
	if !bytes.Equal(once, write(t, bundle.Options{})) {
		t.Error("the same release gives other bytes")
	}
	key, _ := pair(t, "HS256")
	if !bytes.Equal(write(t, bundle.Options{Signing: key}), write(t, bundle.Options{Signing: key})) {
		t.Error("the same release, signed with the same secret, gives other bytes")
	}
	var names []string
	for _, f := range unpack(t, once) {
		names = append(names, f.name)
	}
	if !slices.Contains(names, "/.manifest") || !slices.Contains(names, "/data.json") || !slices.Contains(names, "/shared/exact.rego") {
		t.Errorf("the bundle holds %q", names)
	}
	manifest := string(unpack(t, once)[slices.Index(names, "/.manifest")].data)
	for _, want := range []string{`"revision":"1.0.0+h1:`, `"roots":["catalogue","classes","condition","limits","procedure","shared","steps","units"]`, `"rego_version":1`} {
		if !strings.Contains(manifest, want) {
			t.Errorf("the manifest is %s, want it to hold %s", manifest, want)
		}
	}
}

// TestTamperedBundle signs in three ways and then changes, adds, renames and takes
// away files. OPA's own verification must refuse each.
func TestTamperedBundle(t *testing.T) {
	for _, algorithm := range []string{"HS256", "ES256", "RS256"} {
		t.Run(algorithm, func(t *testing.T) {
			signing, verification := pair(t, algorithm)
			signed := write(t, bundle.Options{Signing: signing, Verification: verification})
			if err := bundle.Verify(signed, verification); err != nil {
				t.Fatalf("as it was signed: %v", err)
			}
			_, stranger := pair(t, algorithm)
			if algorithm == "HS256" {
				stranger = &bundle.Key{ID: "lead", Text: "another secret", Algorithm: algorithm}
			}
			if err := bundle.Verify(signed, stranger); err == nil {
				t.Error("another key verifies it")
			}
			if err := bundle.Verify(write(t, bundle.Options{}), verification); err == nil {
				t.Error("a bundle without a signature passes for a signed one")
			}
			for i, f := range unpack(t, signed) {
				for name, tamper := range map[string]func([]file) []file{
					"changed": func(files []file) []file {
						files[i].data = bytes.Replace(files[i].data, []byte("e"), []byte("a"), 1)
						return files
					},
					"taken away": func(files []file) []file { return slices.Delete(files, i, i+1) },
					"renamed": func(files []file) []file {
						files[i].name = strings.Replace(f.name, "/", "/shared/x", 1)
						return files
					},
				} {
					if err := bundle.Verify(pack(t, tamper(unpack(t, signed))), verification); err == nil {
						t.Errorf("%s %s passes", f.name, name)
					}
				}
			}
			added := append(unpack(t, signed), file{"/shared/more.rego", []byte("package shared.more\n\nx := 1\n")})
			if err := bundle.Verify(pack(t, added), verification); err == nil {
				t.Error("a file more passes")
			}
		})
	}
}

func TestKeysThatDoNotFit(t *testing.T) {
	_, public := pair(t, "ES256")
	for name, opt := range map[string]bundle.Options{
		"no PEM":               {Signing: &bundle.Key{Text: "secret", Algorithm: "ES256"}},
		"a public key":         {Signing: public},
		"an unknown algorithm": {Signing: &bundle.Key{Text: "secret", Algorithm: "XS256"}},
		"another's public key": func() bundle.Options {
			mine, _ := pair(t, "ES256")
			return bundle.Options{Signing: mine, Verification: public}
		}(),
	} {
		if data, err := bundle.Write(release, load(t), opt); err == nil || data != nil {
			t.Errorf("%s: got %d bytes, %v", name, len(data), err)
		}
	}
}
