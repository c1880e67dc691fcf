package reports

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"strings"
	"unicode"
)

// pageNames gives the pages of visits names that are safe as names of files
// anywhere, each its own, on a disk too that does not tell capitals. It counts how
// often it gave each.
type pageNames map[string]int

// plainID is an id that can stand in a name as it is, but for its capitals; no
// other such id differs from it in capitals alone.
var plainID = regexp.MustCompile(`^[A-Z0-9][A-Z0-9-]{0,63}$`)

// of is the name of the page of a visit, in which its id can be made out. A visit
// that is handed in again gets a page of its own.
func (n pageNames) of(id string) string {
	name := "visit-" + strings.ToLower(id)
	if !plainID.MatchString(id) {
		kept := strings.Map(func(r rune) rune {
			if r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
				return unicode.ToLower(r)
			}
			return '-'
		}, id)
		sum := sha256.Sum256([]byte(id))
		// The other sign after "visit" keeps the two kinds of names apart.
		name = "visit_" + kept[:min(len(kept), 40)] + "-" + hex.EncodeToString(sum[:8])
	}
	n[name]++
	if n[name] > 1 {
		name += fmt.Sprintf("_%d", n[name])
	}
	return name + ".html"
}
