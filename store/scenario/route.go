package scenario

import (
	"strconv"
	"strings"

	"sinterbook/store/shop"
)

// routes reads the templates: rows of one step are acts that interleave.
func (p *plan) routes() {
	begun := map[string]bool{}
	for _, r := range p.route.rows {
		name := keyOf(r.get("template"), r.get("version"))
		if begun[name] {
			continue
		}
		begun[name] = true
		by, at := p.someone(r, "route-released")
		p.add(r, "", at, by, shop.RouteReleased{Template: r.get("template"), Version: r.count("version"), Steps: p.steps(name)})
	}
}

func (p *plan) steps(route string) []shop.RouteStep {
	var steps []shop.RouteStep
	for _, r := range p.route.rows {
		if keyOf(r.get("template"), r.get("version")) != route {
			continue
		}
		n, operation, last := r.count("step"), r.get("operation"), len(steps)-1
		if r.get("group") == "" || last < 0 || steps[last].Step != n {
			steps = append(steps, shop.RouteStep{Step: n, Operation: operation, Optional: r.yes("optional"), Yields: r.get("yields")})
			last++
		} else {
			steps[last].Yields += "; " + r.get("yields")
		}
		if r.get("group") != "" {
			steps[last].Group = append(steps[last].Group, operation)
		}
	}
	return steps
}

// route reads a template with its version, as "RT-1 v3".
func route(r row) (template string, version int) {
	text := r.need("route")
	template, number, ok := strings.Cut(text, " v")
	version, err := strconv.Atoi(number)
	if !ok || err != nil {
		r.wrong("route", "%q is not a route with its version: write it as RT-1 v3.", text)
		return template, 0
	}
	for _, known := range r.folder.route.of("template", template) {
		if known.get("version") == number {
			return template, version
		}
	}
	r.wrong("route", "there is no version %d of route %s.", version, template)
	return template, version
}
