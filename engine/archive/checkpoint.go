package archive

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// unsigned is the origin of a checkpoint that nobody signed.
const unsigned = "visitgauge-archive"

// A Checkpoint says what the archive held when it had so many entries: three lines
// of text, in the form that transparency logs use (C2SP tlog-checkpoint), which
// may be signed. Kept elsewhere, it shows later that nothing of that was changed.
type Checkpoint struct {
	// Origin is the name of the key that signed it.
	Origin string
	// Size is the number of entries.
	Size int64
	// Hash is the head of the tree of these entries.
	Hash tlog.Hash
	// SignedBy are the names of the keys whose signatures were checked.
	SignedBy []string
}

// Text is the checkpoint without signatures.
func (c Checkpoint) Text() string {
	return fmt.Sprintf("%s\n%d\n%s\n", c.Origin, c.Size, c.Hash)
}

// Checkpoint writes a checkpoint of the archive as it is. With a private key, as
// [NewKey] makes them, it is a signed note of golang.org/x/mod/sumdb/note, whose
// origin is the name of the key; with none, it is the text alone.
func (a *Archive) Checkpoint(ctx context.Context, privateKey string) ([]byte, Checkpoint, error) {
	var signer note.Signer
	c := Checkpoint{Origin: unsigned}
	if privateKey != "" {
		var err error
		if signer, err = note.NewSigner(strings.TrimSpace(privateKey)); err != nil {
			return nil, c, fmt.Errorf("reading the private key: %w\ngive one that begins with PRIVATE+KEY+", err)
		}
		c.Origin = signer.Name()
	}
	var err error
	if c.Size, err = size(ctx, a.db); err == nil {
		c.Hash, err = tlog.TreeHash(c.Size, stored(ctx, a.db))
	}
	if err != nil {
		return nil, c, a.failed("reading", err)
	}
	if signer == nil {
		return []byte(c.Text()), c, nil
	}
	signed, err := note.Sign(&note.Note{Text: c.Text()}, signer)
	if err != nil {
		return nil, c, fmt.Errorf("signing the checkpoint: %w", err)
	}
	return signed, c, nil
}

// NewKey makes a pair of keys of a name, which may hold no space and no plus sign.
// A name like that of a site of one's own keeps it from being taken for another's.
func NewKey(random io.Reader, name string) (privateKey, publicKey string, err error) {
	if name == "" || strings.ContainsAny(name, " +\t\r\n") {
		return "", "", fmt.Errorf("making a key: %q is no name for one\ngive a name without spaces and plus signs, archive.example.org say", name)
	}
	privateKey, publicKey, err = note.GenerateKey(random, name)
	if err != nil {
		return "", "", fmt.Errorf("making a key: %w", err)
	}
	return privateKey, publicKey, nil
}

// ReadCheckpoint reads a checkpoint. With public keys, one of them must have
// signed it; with none, signatures are not looked at and SignedBy stays empty.
func ReadCheckpoint(data []byte, publicKeys []string) (Checkpoint, error) {
	text := string(data)
	var by []string
	if len(publicKeys) > 0 {
		var known []note.Verifier
		for _, key := range publicKeys {
			v, err := note.NewVerifier(strings.TrimSpace(key))
			if err != nil {
				// The key is not told: it may be a private one given by mistake.
				return Checkpoint{}, fmt.Errorf("reading a public key: %w\ngive one as it was written beside the private key", err)
			}
			known = append(known, v)
		}
		n, err := note.Open(data, note.VerifierList(known...))
		if err != nil {
			return Checkpoint{}, fmt.Errorf("checking the signature of the checkpoint: %w\nget the checkpoint again from whoever signed it, and their public key", err)
		}
		text = n.Text
		for _, s := range n.Sigs {
			by = append(by, s.Name)
		}
	} else if body, _, signed := strings.Cut(text, "\n\n"); signed {
		text = body + "\n"
	}
	c, err := parseCheckpoint(text)
	c.SignedBy = by
	return c, err
}

// mostEntries is more than any archive has. The arithmetic of trees does not end
// for numbers close to the largest there are.
const mostEntries = 1 << 48

// parseCheckpoint reads the text of a checkpoint. Lines after the third are
// extensions, which say nothing to us.
func parseCheckpoint(text string) (Checkpoint, error) {
	lines := strings.Split(text, "\n")
	if len(lines) < 4 || lines[0] == "" {
		return Checkpoint{}, fmt.Errorf("reading checkpoint: it has not the three lines of one\nhand in a file that archive checkpoint wrote")
	}
	n, err := strconv.ParseInt(lines[1], 10, 64)
	if err != nil || n < 0 || n > mostEntries || strconv.FormatInt(n, 10) != lines[1] {
		return Checkpoint{}, fmt.Errorf("reading checkpoint: its second line, %q, is no number of entries", lines[1])
	}
	hash, err := tlog.ParseHash(lines[2])
	if err != nil {
		return Checkpoint{}, fmt.Errorf("reading checkpoint: its third line, %q, is no hash", lines[2])
	}
	return Checkpoint{Origin: lines[0], Size: n, Hash: hash}, nil
}
