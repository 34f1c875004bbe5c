package site

import (
	"net/http"
	"net/url"
	"strings"
)

// ImageryCookie names the cookie in which the page keeps the origin of the
// imagery that its user chose, such as https://imagery.example. It belongs to
// that browser alone and is read for nothing but the content policy.
const ImageryCookie = "evenfall-imagery"

const policyHeader = "Content-Security-Policy"

// allowImagery lets the page load pictures from the one other host that its
// user entered. The policy is the server's own; without one there is nothing
// to widen. A cookie that is no plain origin changes nothing.
func allowImagery(head http.Header, r *http.Request) {
	head.Add("Vary", "Cookie")
	cookie, err := r.Cookie(ImageryCookie)
	if err != nil {
		return
	}
	value, err := url.PathUnescape(cookie.Value)
	if err != nil {
		return
	}
	origin, ok := originOf(value)
	if !ok {
		return
	}
	policy := head.Get(policyHeader)
	head.Set(policyHeader, strings.Replace(policy, "img-src 'self'", "img-src 'self' "+origin, 1))
}

// originOf accepts a scheme and a host, with a port or without, and nothing
// that could end a directive of the policy or widen it to many hosts.
func originOf(text string) (origin string, ok bool) {
	u, err := url.Parse(text)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Hostname() == "" {
		return "", false
	}
	if u.User != nil || u.Path != "" || u.RawQuery != "" || u.Fragment != "" || u.Opaque != "" {
		return "", false
	}
	plain := strings.Trim(u.Host, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.-:") == ""
	return u.Scheme + "://" + u.Host, plain
}
