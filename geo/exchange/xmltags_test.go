package exchange

import (
	"strings"
	"testing"
)

func TestCheckTags(t *testing.T) {
	long := strings.Repeat("a='' ", maxTagBytes/5)
	tests := []struct {
		name, text string
		refused    bool
	}{
		{"nothing", "", false},
		{"long text", "<a>" + long + "</a>", false},
		{"long comment", "<a><!-- <b " + long + " --></a>", false},
		{"long CDATA", "<a><![CDATA[ it's < " + long + " ]]></a>", false},
		{"long instruction", "<?a " + long + " ?><a/>", false},
		{"comment without end", "<!-- " + long, false},
		{"long tag", "<a><b " + long + "/></a>", true},
		{"long tag without end", "<a><b " + long, true},
		{"long tag behind a quoted bracket", `<a b=">" ` + long + ">", true},
		{"long tag behind a lone quote in CDATA", "<x><![CDATA[<a ']]><b c='>' " + long + "/></x>", true},
		{"many short tags", strings.Repeat("<a>", maxTagBytes), false},
	}
	for _, tt := range tests {
		if err := checkTags([]byte(tt.text)); (err != nil) != tt.refused {
			t.Errorf("%s: got %v", tt.name, err)
		}
	}
}
