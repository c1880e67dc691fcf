package archive

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"syscall"
)

// holder names who holds a lock on a file, as far as the system tells. The list
// of locks is read rather than the file asked, because to open and close the file
// would let go of the locks that this process has on it.
func holder(path string) string {
	const unknown = "another process"
	info, err := os.Stat(path)
	if err != nil {
		return unknown
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return unknown
	}
	locks, err := os.ReadFile("/proc/locks")
	if err != nil {
		return unknown
	}
	inode := ":" + strconv.FormatUint(stat.Ino, 10)
	for line := range strings.Lines(string(locks)) {
		// 1: POSIX  ADVISORY  WRITE 4711 08:01:131073 1073741824 1073742335
		fields := strings.Fields(line)
		if len(fields) < 6 || fields[1] == "->" || !strings.HasSuffix(fields[5], inode) {
			continue
		}
		if pid, err := strconv.Atoi(fields[4]); err == nil && pid > 0 && pid != os.Getpid() {
			return fmt.Sprintf("process %d", pid)
		}
	}
	return unknown
}
