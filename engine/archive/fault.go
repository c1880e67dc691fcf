package archive

import (
	"errors"
	"fmt"
	"io/fs"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"
)

// A Refusal says why something was not added: the archive is fine, and what was
// handed in does not fit it.
type Refusal struct {
	// Visit is the id of the visit that it was about.
	Visit string
	// Message says in a plain sentence what is wrong, and Mend what would put it
	// right. Neither ends in a full stop.
	Message, Mend string
}

var _ error = (*Refusal)(nil)

// Error returns the message, with the mend on a line of its own.
func (r *Refusal) Error() string {
	return fmt.Sprintf("archiving visit %q: %s\n%s", r.Visit, r.Message, r.Mend)
}

func refuse(visit, mend, format string, args ...any) error {
	return &Refusal{Visit: visit, Message: fmt.Sprintf(format, args...), Mend: mend}
}

// failed says what could not be done with the archive, why, and what would mend
// it. Refusals are passed on as they are.
func (a *Archive) failed(doing string, err error) error {
	var refusal *Refusal
	if err == nil || errors.As(err, &refusal) {
		return err
	}
	var pathError *fs.PathError
	if errors.As(err, &pathError) {
		err = pathError.Err // the path is told anyway
	}
	var fault *sqlite.Error
	if errors.As(err, &fault) {
		if why := a.why(fault.Code()); why != "" {
			return fmt.Errorf("%s archive %s: %s (%w)", doing, a.path, why, err)
		}
	}
	return fmt.Errorf("%s archive %s: %w", doing, a.path, err)
}

// why words the result codes of SQLite that are about the file, with what would
// mend each; empty for others. Of an extended code the low byte is the kind.
func (a *Archive) why(code int) string {
	switch {
	case code&0xff == lib.SQLITE_BUSY:
		return fmt.Sprintf("it has been held by %s for %v\nwait until that is done, and try again", holder(a.path), a.wait)
	case code&0xff == lib.SQLITE_FULL:
		return "there is no room left\nmake room and add it again; what was acknowledged before is there"
	case code == lib.SQLITE_READONLY_ROLLBACK, code == lib.SQLITE_READONLY_RECOVERY:
		return "a run that wrote it ended in the middle, and what it left half done must be taken back\nopen it once for writing"
	case code&0xff == lib.SQLITE_READONLY:
		return "it may only be read\nask for the right to write it and its folder, or only read it"
	case code&0xff == lib.SQLITE_NOTADB:
		return "it is no archive\nlook for a slip in the path"
	case code&0xff == lib.SQLITE_CORRUPT:
		return "it is damaged or cut off\ntake the last good copy of it, and hand in again what came after"
	case code&0xff == lib.SQLITE_CANTOPEN:
		return "it, or the journal beside it, cannot be opened\nsee that both can be read, and written to add"
	case code&0xff == lib.SQLITE_IOERR:
		return "the disk failed to read or write\nlook to the disk; what was acknowledged before is there"
	}
	return ""
}
