package api

import (
	"net/http"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"evenfall/server/record"
)

// etag is a record's revision as an entity tag (RFC 9110, 8.8.3).
func etag(s *record.Stamp) string { return strconv.Quote(strconv.FormatInt(s.Revision, 10)) }

// namedRevision is the revision that a change was made from. Without one the
// change is refused, or it could undo another's unseen.
func namedRevision(c echo.Context) (int64, error) {
	header := strings.TrimSpace(c.Request().Header.Get("If-Match"))
	if header == "" || header == "*" {
		return 0, refuse(http.StatusPreconditionRequired, "if_match_missing",
			"the change does not say which revision it was made from",
			"send the record's ETag in an If-Match header")
	}
	number, quoted := strings.CutPrefix(header, `"`)
	number, closed := strings.CutSuffix(number, `"`)
	revision, err := strconv.ParseInt(number, 10, 64)
	if !quoted || !closed || err != nil {
		return 0, refuse(http.StatusBadRequest, "if_match_form", "the If-Match header is not one of our ETags",
			`send the ETag as it came, such as "3"`)
	}
	return revision, nil
}

// unchanged tells whether the client has this revision already.
func unchanged(c echo.Context, tag string) bool {
	for known := range strings.SplitSeq(c.Request().Header.Get("If-None-Match"), ",") {
		known = strings.TrimPrefix(strings.TrimSpace(known), "W/")
		if known == "*" || known == tag {
			return true
		}
	}
	return false
}
