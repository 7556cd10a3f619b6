package main

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"sinterbook/store/scenario"
	"sinterbook/store/shop"
)

func TestDemoListensOnThisComputerOnly(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		addr string
		want string // part of the refusal, "" for none
	}{
		{"127.0.0.1:8470", ""},
		{"127.9.9.9:0", ""},
		{"[::1]:8470", ""},
		{"localhost:8470", ""},
		{":8470", "can be reached from outside"},
		{"0.0.0.0:8470", "can be reached from outside"},
		{"[::]:8470", "can be reached from outside"},
		{"192.0.2.7:8470", "can be reached from outside"},
		{"localhost.example:8470", "can be reached from outside"},
		{"127.0.0.1", "is not an address to listen on"},
	} {
		t.Run(tt.addr, func(t *testing.T) {
			data := t.TempDir()
			err := demo(t.Context(), demoOptions{data: data, addr: tt.addr, scenario: "no such folder"}, io.Discard)
			if tt.want == "" {
				tt.want = "no such folder is not a folder with a scenario" // the next thing that is wrong
			}
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("it says %v, want %q", err, tt.want)
			}
		})
	}
}

// built is the folder of a demo book.
func built(t *testing.T, o demoOptions) (demoOptions, string) {
	t.Helper()
	if o.data == "" {
		o.data = t.TempDir()
	}
	o.addr, o.buildOnly = "127.0.0.1:0", true
	var said bytes.Buffer
	if err := demo(t.Context(), o, &said); err != nil {
		t.Fatal(err)
	}
	return o, said.String()
}

func TestDemoIsBuiltOnce(t *testing.T) {
	t.Parallel()
	o, said := built(t, demoOptions{})
	if !regexp.MustCompile(`The demo's history was recorded: \d{4} entries\.\n`).MatchString(said) {
		t.Errorf("it says\n%s", said)
	}
	first, err := readDemo(o.data)
	if err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(o.data, "book.db")
	if err := os.WriteFile(other, []byte("another book"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, said := built(t, o); !strings.Contains(said, "stands in "+o.data) {
		t.Errorf("the second time it says\n%s", said)
	}
	o.fresh = true
	built(t, o)
	second, err := readDemo(o.data)
	if err != nil || second.People[0].Password == first.People[0].Password {
		t.Errorf("a fresh book has the old passwords (%v)", err)
	}
	if text, err := os.ReadFile(other); err != nil || string(text) != "another book" {
		t.Errorf("another book in the folder is %q (%v)", text, err)
	}
}

// TestDemoKeys: everyone can sign in, and neither the log nor the table beside
// it has what they type.
func TestDemoKeys(t *testing.T) {
	t.Parallel()
	o, _ := built(t, demoOptions{})
	r, err := readDemo(o.data)
	if err != nil {
		t.Fatal(err)
	}
	st, _, err := openDemo(t.Context(), o.data, r.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	if len(r.People) != 11 {
		t.Errorf("%d people have keys, want 11", len(r.People))
	}
	for _, p := range r.People {
		k, err := st.Keys(t.Context(), p.Badge)
		if err != nil || !strings.HasPrefix(k.PIN, "$argon2id$") || !strings.HasPrefix(k.Password, "$argon2id$") || k.Name == "" {
			t.Errorf("%s has the keys %+v (%v)", p.Badge, k, err)
		}
		entries, err := st.History(t.Context(), shop.Subject("person", p.Badge), 0, 100)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if strings.Contains(e.Payload, p.PIN) || strings.Contains(e.Payload, p.Password) {
				t.Errorf("the log has a secret of %s", p.Badge)
			}
		}
	}
}

// TestDemoClockGoesOn: a demo that is started again is later than anything in
// its book, and never earlier than its scenario's now.
func TestDemoClockGoesOn(t *testing.T) {
	t.Parallel()
	o, _ := built(t, demoOptions{})
	now, err := scenario.Now(scenario.Demo())
	if err != nil {
		t.Fatal(err)
	}
	st, clock, err := openDemo(t.Context(), o.data, now)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	b, err := st.Book(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	newest, err := st.Entry(t.Context(), b.Size-1)
	if err != nil {
		t.Fatal(err)
	}
	if got := st.Now(); got.Before(now) || got.Before(newest.Entered.Add(time.Second)) || got.After(newest.Entered.Add(time.Hour)) {
		t.Errorf("the clock reads %s; now is %s and the newest entry is of %s", got, now, newest.Entered)
	}
	before := st.Now()
	clock.pass(8 * time.Hour)
	if passed := st.Now().Sub(before); passed < 8*time.Hour || passed > 9*time.Hour {
		t.Errorf("%v passed; want 8 hours", passed)
	}
	later := now.Add(1000 * time.Hour)
	st2, _, err := openDemo(t.Context(), o.data, later)
	if err != nil {
		t.Fatal(err)
	}
	defer st2.Close()
	if got := st2.Now(); got.Before(later) {
		t.Errorf("the clock reads %s, before %s", got, later)
	}
}

// TestDemoBeginsAgain: a folder that is wrong leaves no demo behind, and the
// next start builds one.
func TestDemoBeginsAgain(t *testing.T) {
	t.Parallel()
	o := demoOptions{data: t.TempDir(), addr: "127.0.0.1:0", buildOnly: true, scenario: t.TempDir()}
	if err := os.CopyFS(o.scenario, scenario.Demo()); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(o.scenario, "moulds.csv"), []byte("mould,customer,in_at\nM301,K1,yesterday\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	err := demo(t.Context(), o, io.Discard)
	if err == nil || !strings.Contains(err.Error(), `moulds.csv line 2, column in_at: "yesterday" is not a time`) {
		t.Fatalf("it says %v", err)
	}
	if _, err := os.Stat(filepath.Join(o.data, demoState)); err == nil {
		t.Error("a demo that failed counts as built")
	}
	wrong := o.scenario
	o.scenario = ""
	o, said := built(t, o)
	if want := "what was left out stands in " + filepath.Join(o.data, demoState) + "."; !strings.Contains(said, want) {
		t.Errorf("it says %q; want %q", said, want)
	}
	before, err := os.ReadFile(filepath.Join(o.data, demoState))
	if err != nil {
		t.Fatal(err)
	}
	o.scenario, o.fresh = wrong, true
	if err := demo(t.Context(), o, io.Discard); err == nil {
		t.Error("a wrong folder was built")
	}
	after, err := os.ReadFile(filepath.Join(o.data, demoState))
	if err != nil || string(after) != string(before) {
		t.Errorf("a folder that was refused changed the book that stood: %v", err)
	}
	if left, _ := filepath.Glob(filepath.Join(o.data, halfBuilt+"*")); left != nil {
		t.Errorf("%v is left", left)
	}
}

// TestDemoServes: it says where it is and with what to sign in, takes the next
// port where its own is in use, answers, and stops when it is told to.
func TestDemoServes(t *testing.T) {
	t.Parallel()
	o, _ := built(t, demoOptions{})
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	o.buildOnly, o.addr = false, taken.Addr().String()
	ctx, stop := context.WithCancel(t.Context())
	out, in := io.Pipe()
	ended := make(chan error, 1)
	go func() {
		err := demo(ctx, o, in)
		in.CloseWithError(io.EOF)
		ended <- err
	}()
	said := untilText(t, out, "Ctrl-C")
	found := regexp.MustCompile(`open at (http://[\d.:]+/)`).FindStringSubmatch(said)
	if found == nil || strings.Contains(found[1], o.addr+"/") {
		t.Fatalf("it says\n%s", said)
	}
	for _, kind := range []string{"operator         badge 204 ", "toolmaker        badge 501 ", "quality manager  badge 601 ", "auditor          badge 900 "} {
		if !strings.Contains(said, kind) {
			t.Errorf("it does not say %q:\n%s", kind, said)
		}
	}
	answer, err := http.Get(found[1] + "livez")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		t.Errorf("it answers %s", answer.Status)
	}
	atStation(t, found[1], said)
	stop()
	if err := <-ended; err != nil {
		t.Errorf("it ends with %v", err)
	}
}

// atStation opens the operator's address, so that this client becomes the
// tablet there, and signs in with badge and PIN.
func atStation(t *testing.T, base, said string) {
	t.Helper()
	operator := regexp.MustCompile(`badge 204 +PIN (\d+) .*\n +at PR1 +(\S+)`).FindStringSubmatch(said)
	if operator == nil {
		t.Fatalf("there is no station's address under the operator:\n%s", said)
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client := &http.Client{Jar: jar}
	sees := func(answer *http.Response, err error, want string) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		if err != nil || !strings.Contains(string(text), want) {
			t.Fatalf("%s does not say %q: %v", answer.Request.URL.Path, want, err)
		}
	}
	address, err := url.Parse(operator[2])
	if err != nil {
		t.Fatal(err)
	}
	for range 2 { // the address of a demo works again
		answer, err := client.Get(operator[2])
		sees(answer, err, "Register this tablet")
		answer, err = client.PostForm(base+"tablet", address.Query())
		sees(answer, err, "PIN")
	}
	answer, err := client.PostForm(base+"sign-in", url.Values{"badge": {"204"}, "pin": {operator[1]}})
	sees(answer, err, "Scan a traveler to begin.")
}

// untilText reads what is said up to a text, and drops the rest.
func untilText(t *testing.T, r io.Reader, text string) string {
	t.Helper()
	var said strings.Builder
	chunk := make([]byte, 4096)
	for !strings.Contains(said.String(), text) {
		n, err := r.Read(chunk)
		said.Write(chunk[:n])
		if err != nil {
			t.Fatalf("it ends after saying\n%s", said.String())
		}
	}
	go io.Copy(io.Discard, r)
	return said.String()
}
