package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/bundle"
)

// rulesBundleFlags are the flags of rules bundle.
type rulesBundleFlags struct {
	sourceFlags
	output          string
	signingKey      string
	signingAlg      string
	keyID           string
	verificationKey string
}

func newRulesBundle() *cobra.Command {
	var flags rulesBundleFlags
	cmd := &cobra.Command{
		Use:   "bundle [RELEASE] --output FILE",
		Short: "Pack a release into a bundle that stock OPA loads",
		Long: `Pack the rules and data of a release into one file, in OPA's own form of a bundle,
by which stock OPA gives the outcomes that this program gives. Its revision is the
version and the digest of the release. The same release gives the same file.

With a key the bundle is signed in OPA's way, and read back under the verification
key before it is written; for the HS algorithms both are the same secret.

` + rulesSource + ` A draft is not bundled: nobody vouches for it.

` + rulesExitCodes,
		Example: `  visitgauge rules bundle 1.0.0 --output rules-1.0.0.tar.gz
  visitgauge rules bundle 1.0.0 --output rules.tar.gz --signing-alg ES256 --signing-key key.pem --verification-key public.pem
  opa eval --bundle rules-1.0.0.tar.gz --input input.json data.condition.battery`,
		Args: arguments(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error { return flags.run(cmd, strings.Join(args, "")) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.sourceFlags.add(f)
	f.StringVar(&flags.output, "output", "", "write the bundle to `FILE`; must be given")
	f.StringVar(&flags.signingKey, "signing-key", "", "sign with the private key, or the secret, in `FILE`")
	f.StringVar(&flags.signingAlg, "signing-alg", "RS256", "sign by this `ALGORITHM`: RS, PS, ES or HS with 256, 384 or 512")
	f.StringVar(&flags.keyID, "key-id", "default", "name the key `ID` in the signature")
	f.StringVar(&flags.verificationKey, "verification-key", "", "read the bundle back under the public key in `FILE`")
	return cmd
}

func (f *rulesBundleFlags) run(cmd *cobra.Command, argument string) error {
	if f.output == "" {
		return usage("rules bundle: --output is missing\nname the file to write")
	}
	opt, err := f.keys()
	if err != nil {
		return err
	}
	from, err := f.source(argument)
	if err != nil {
		return err
	}
	if !from.frozen() {
		return usage("rules bundle: %s is not released, so nobody vouches for it\nname a version that is", from.name())
	}
	set, err := from.load(cmd.Context(), false)
	if err != nil {
		return err
	}
	data, err := bundle.Write(from.files, set, opt)
	if err != nil {
		return err
	}
	if err := writeWhole(f.output, data); err != nil {
		return err
	}
	text := fmt.Sprintf("%s\n  revision   %s\n", f.output, bundle.Revision(set))
	if opt.Signing != nil {
		text += fmt.Sprintf("  signed     %s, key %s\n", f.signingAlg, f.keyID)
	}
	return emit(cmd.OutOrStdout(), "what was done", []byte(text))
}

// keys reads the keys that the flags name.
func (f *rulesBundleFlags) keys() (bundle.Options, error) {
	var opt bundle.Options
	if f.signingKey == "" {
		if f.verificationKey != "" {
			return opt, usage("rules bundle: --verification-key is given without --signing-key\na bundle without a signature cannot be verified")
		}
		return opt, nil
	}
	var err error
	if opt.Signing, err = f.key(f.signingKey); err != nil {
		return opt, err
	}
	switch {
	case f.verificationKey != "":
		opt.Verification, err = f.key(f.verificationKey)
	case strings.HasPrefix(f.signingAlg, "HS"):
		opt.Verification = opt.Signing
	}
	return opt, err
}

func (f *rulesBundleFlags) key(file string) (*bundle.Key, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, usage("reading a key: %w", err)
	}
	return &bundle.Key{ID: f.keyID, Text: string(text), File: file, Algorithm: f.signingAlg}, nil
}

// writeWhole writes a file whole or not at all.
func writeWhole(name string, data []byte) error {
	failed := func(err error) error {
		return fmt.Errorf("writing %s: %w\nname a file, in a folder that is there and can be written", name, err)
	}
	part, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if err != nil {
		return failed(err)
	}
	_, err = part.Write(data)
	if closed := part.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Chmod(part.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(part.Name(), name)
	}
	if err != nil {
		_ = os.Remove(part.Name()) // of no use to anybody
		return failed(err)
	}
	return nil
}
