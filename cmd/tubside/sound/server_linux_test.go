package sound

import "testing"

func TestWhereTheSoundServerMayBe(t *testing.T) {
	for said, want := range map[string]string{
		"":                          "/run/user/7/pulse/native",
		"unix:/a/b /c":              "/a/b /c",
		"tcp:localhost:4713":        "127.0.0.1:4713",
		"tcp6:[::1]:4713 unix:/d":   "[::1]:4713 /d",
		"tcp:shed.lan:4713 tcp:nil": "", // paplay knows names
	} {
		got := ""
		for i, a := range places(said, "/run/user/7") {
			if i > 0 {
				got += " "
			}
			got += a.String()
		}
		if got != want {
			t.Errorf("%q is at %q, want %q", said, got, want)
		}
	}
}
