package main

import (
	"bufio"
	"context"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
)

// TestTour goes through the whole invented call: at its end the job is closed
// as fixed, and nothing of the tour is left on the disk afterwards.
func TestTour(t *testing.T) {
	tmp := t.TempDir()
	t.Setenv("TMPDIR", tmp)
	e, _, errs := clitest.Env(t, "")
	read, write := io.Pipe()
	e.Out = write
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	done := make(chan int, 1)
	go func() { done <- run(ctx, e, []string{"tour", "--no-open"}) }()
	first, err := bufio.NewReader(read).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	u, err := url.Parse(strings.TrimSpace(first))
	if err != nil {
		t.Fatal(err)
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client := &http.Client{Jar: jar, Timeout: time.Minute}
	page := func(resp *http.Response, err error) string {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		defer resp.Body.Close()
		b, err := io.ReadAll(resp.Body)
		if err != nil || resp.StatusCode != http.StatusOK {
			t.Fatalf("status %d: %v", resp.StatusCode, err)
		}
		return string(b)
	}
	if got := page(client.Get(u.String())); !strings.Contains(got, "1 of 39") || !strings.Contains(got, "Job 4412") {
		t.Errorf("the first step is\n%s", got)
	}
	root := "http://" + u.Host
	page(client.PostForm(root+"/tour", url.Values{"to": {"39"}}))
	if got := page(client.Get(root + "/job/4412/closeout")); !strings.Contains(got, "39 of 39") || !strings.Contains(got, "Job 4412: fixed") {
		t.Errorf("the last step's closeout is\n%s", got)
	}
	client.CloseIdleConnections()
	cancel()
	if got := <-done; got != cli.ExitDone && got != cli.ExitInterrupted {
		t.Errorf("exit code %d: %s", got, errs)
	}
	if left, err := os.ReadDir(tmp); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
}
