package store

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

const killEnv = "DAWNSMITH_TEST_IMPORT"

// TestMain turns the test program into an importer when it is asked to be one.
func TestMain(m *testing.M) {
	if path := os.Getenv(killEnv); path != "" {
		importUntilKilled(path)
		return
	}
	os.Exit(m.Run())
}

// killedBytes are the raw bytes of the i-th run, made again to check them.
func killedBytes(i int) []byte {
	return bytes.Repeat([]byte(fmt.Sprintf("reading %d;", i)), 2000)
}

// importUntilKilled adds runs and says the number of each once it is kept.
func importUntilKilled(path string) {
	ctx := context.Background()
	b, err := Open(ctx, path, options())
	if err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	ks, err := b.Runs(ctx, RunFilter{})
	if err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	fmt.Println("ready")
	for i := len(ks); ; i++ {
		n := spectraRun(fmt.Sprint("r-", i), "oulu", 20)
		n.Raw[0].Bytes = killedBytes(i)
		if err := b.AddRun(ctx, n); err != nil {
			fmt.Println("error", err)
			os.Exit(1)
		}
		fmt.Println("kept", i)
	}
}

// A process killed in the middle of imports, again and again on one file:
// everything it had acknowledged is there and whole, at most one run more,
// and nothing half.
func TestKilledImports(t *testing.T) {
	ctx := t.Context()
	path := filepath.Join(t.TempDir(), "l.logbook")
	b := open(t, path, options())
	putLamp(t, b, "oulu")
	must(t, b.Close())
	known := 0
	for trial := range kills {
		acknowledged := importAndKill(t, path, time.Duration(3+trial*7%40)*time.Millisecond)
		b, err := Open(ctx, path, options())
		if err != nil {
			t.Fatalf("trial %d: %v", trial, err)
		}
		ks, err := b.Runs(ctx, RunFilter{})
		must(t, err)
		if len(ks) < acknowledged || len(ks) < known || len(ks) > max(acknowledged, known)+1 {
			t.Fatalf("trial %d: %d runs, %d acknowledged, %d before", trial, len(ks), acknowledged, known)
		}
		for i := known; i < len(ks); i++ {
			raw, err := b.Raw(ctx, fmt.Sprint("r-", i))
			if err != nil || len(raw) != 1 || !bytes.Equal(raw[0].Bytes, killedBytes(i)) {
				t.Fatalf("trial %d: run %d: %v", trial, i, err)
			}
			if ks[i].Spectra != 20 {
				t.Fatalf("trial %d: run %d has %d of 20 spectra", trial, i, ks[i].Spectra)
			}
		}
		known = len(ks)
		if trial == kills-1 {
			if h, err := b.Verify(ctx); err != nil || !h.Sound() {
				t.Fatalf("%v %v", h, err)
			}
		}
		must(t, b.Close())
	}
	t.Logf("%d kills, %d runs kept", kills, known)
	if known < kills/2 {
		t.Errorf("only %d runs in %d trials: the killing came before the work", known, kills)
	}
}

// importAndKill lets a process import for a while and returns how many runs
// the logbook must hold.
func importAndKill(t *testing.T, path string, after time.Duration) int {
	t.Helper()
	exe, err := os.Executable()
	must(t, err)
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), killEnv+"="+path)
	out, err := cmd.StdoutPipe()
	must(t, err)
	must(t, cmd.Start())
	acknowledged := 0
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		s := lines.Text()
		if s == "ready" {
			time.AfterFunc(after, func() { cmd.Process.Kill() })
		} else if n, ok := strings.CutPrefix(s, "kept "); ok {
			i, err := strconv.Atoi(n)
			must(t, err)
			acknowledged = i + 1
		} else {
			cmd.Process.Kill()
			t.Fatal(s)
		}
	}
	cmd.Wait()
	return acknowledged
}
