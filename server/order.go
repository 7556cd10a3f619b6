package server

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/a-h/templ"
	"github.com/google/uuid"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// orders answers GET /orders.
func (s *Server) orders(w http.ResponseWriter, r *http.Request) error {
	p := views.Orders{Frame: s.frame(r, "/orders"), At: s.now(), New: s.may(r, shop.OrderTaken{}, ""), Open: s.may(r, shop.TravelerOpened{}, "")}
	var err error
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return err
	}
	parts, err := s.partNames(r)
	if err != nil {
		return err
	}
	open, err := s.store.OpenOrders(r.Context())
	if err != nil {
		return err
	}
	made, err := s.store.MadeOrders(r.Context(), rowsAPage)
	if err != nil {
		return err
	}
	p.ToMake, p.Made = orderLines(open, parts), orderLines(made, parts)
	return show(w, r, http.StatusOK, views.OrdersPage(p))
}

// partNames is what each design in force is called.
func (s *Server) partNames(r *http.Request) (map[string]string, error) {
	all, err := s.store.Designs(r.Context())
	names := map[string]string{}
	for _, d := range all {
		if !d.Superseded {
			names[d.Design] = d.Name
		}
	}
	return names, err
}

func orderLines(rows []store.OrderRow, parts map[string]string) []views.OrderLine {
	lines := make([]views.OrderLine, len(rows))
	for i, o := range rows {
		lines[i] = views.OrderLine{Order: o.Order, Part: parts[o.Design], OnRoute: o.OnRoute, Made: o.Made}
	}
	return lines
}

// order answers GET /orders/{order}.
func (s *Server) order(w http.ResponseWriter, r *http.Request) error {
	p, err := s.orderPage(r)
	if err != nil {
		return err
	}
	if s.may(r, shop.OrderChanged{}, "") {
		f := blank("", views.PageOf("order", p.Order.Order))
		for _, field := range orderFields {
			f.Values.Set(field, p.Order.Field(field))
		}
		p.Edit = based(&f, p.Order)
	}
	return show(w, r, http.StatusOK, views.OrderPage(p))
}

func (s *Server) orderPage(r *http.Request) (views.Order, error) {
	ctx := r.Context()
	p := views.Order{Frame: s.frame(r, "/orders"), At: s.now(), Open: s.may(r, shop.TravelerOpened{}, "")}
	var err error
	if p.Order, err = s.store.Order(ctx, pathWord(r, "order")); err != nil {
		return p, err
	}
	if p.Design, err = s.store.Design(ctx, p.Order.Design, ""); err != nil {
		return p, err
	}
	if p.Inserts, err = s.store.Inserts(ctx, "order", p.Order.Order); err != nil {
		return p, err
	}
	p.Zone, err = s.zone(ctx)
	return p, err
}

// orderFields are what can be changed about an order.
var orderFields = []string{"due", "quantity", "remark"}

// based ties an edit to the order that it was made of: the form carries what
// was shown in each field, and how much of the order's history that was.
func based(f *views.Form, o shop.Order) *views.Form {
	for _, field := range orderFields {
		f.Values.Set("from."+field, o.Field(field))
	}
	f.Seen = strconv.FormatInt(o.Count, 10)
	return f
}

// changeOrder answers POST /orders/{order}. Only what the person changed is
// recorded, on top of what stands.
func (s *Server) changeOrder(w http.ResponseWriter, r *http.Request) error {
	p, err := s.orderPage(r)
	if err != nil {
		return err
	}
	f, err := typed(r, "", views.PageOf("order", p.Order.Order))
	if err != nil {
		return err
	}
	e := shop.OrderChanged{Order: p.Order.Order, Changes: changesIn(f, p.Order)}
	if len(e.Changes) == 0 {
		f.Wrong = map[string]string{"": "Nothing was changed, so nothing was recorded."}
		p.Edit = rebased(&f, p.Order)
		return show(w, r, statusOf(f), views.OrderPage(p))
	}
	ok, err := s.recordEdit(r, &f, e)
	if err != nil {
		return err
	}
	if !ok {
		p.Edit = &f
		if f.Refused != "" {
			p.Edit = rebased(&f, p.Order)
		}
		return show(w, r, statusOf(f), views.OrderPage(p))
	}
	return seeOther(w, r, views.PageOf("order", p.Order.Order), "Order "+p.Order.Order+" was changed.")
}

// recordEdit records a change of an order. A page that comes back from the
// browser's history sends its number again: the act is known by what it
// changes too, so that a resend is one act and another change is another.
func (s *Server) recordEdit(r *http.Request, f *views.Form, e shop.OrderChanged) (bool, error) {
	act := *f
	if page, err := uuid.Parse(f.Command); err == nil {
		said := url.Values{"seen": {f.Seen}}
		for _, c := range e.Changes {
			said.Set(c.Field, c.From+"\x00"+c.To)
		}
		act.Command = uuid.NewSHA1(page, []byte(said.Encode())).String()
	}
	ok, err := s.record(r, &act, e)
	f.Wrong, f.Refused, f.Meanwhile = act.Wrong, act.Refused, act.Meanwhile
	return ok, err
}

// changesIn lists the fields in which a form says something else than it
// showed. Browsers send a line end as two characters; what did not change but
// for that is as it stands.
func changesIn(f views.Form, o shop.Order) []shop.Change {
	var changes []shop.Change
	for _, field := range orderFields {
		from, to := plainLines(f.Value("from."+field)), plainLines(f.Value(field))
		if from == to {
			continue
		}
		if stands := o.Field(field); plainLines(stands) == from {
			from = stands
		}
		changes = append(changes, shop.Change{Field: field, From: from, To: to})
	}
	return changes
}

func plainLines(text string) string { return strings.ReplaceAll(text, "\r\n", "\n") }

// rebased puts an edit on top of what stands now: what the person did not
// touch follows, what they typed stays, and beside it stands what another
// wrote there meanwhile.
func rebased(f *views.Form, o shop.Order) *views.Form {
	for _, field := range orderFields {
		if plainLines(f.Value(field)) == plainLines(f.Value("from."+field)) {
			f.Values.Set(field, o.Field(field))
		}
	}
	return based(f, o)
}

// newOrder is the form that takes an order.
func (s *Server) newOrder() making[shop.OrderTaken] {
	return making[shop.OrderTaken]{
		path: "/new/order",
		start: func(r *http.Request, f *views.Form) error {
			f.Values.Set("design", r.FormValue("design"))
			f.Values.Set("mould", r.FormValue("mould"))
			return nil
		},
		read: func(_ *http.Request, f *views.Form) (shop.OrderTaken, error) {
			said := shop.Fields{}
			e := shop.OrderTaken{
				Order: f.Value("order"), Customer: f.Value("customer"), Design: f.Value("design"), Quantity: countOf(said, f, "quantity", "The quantity"),
				Due: shop.Date(f.Value("due")), Unit: f.Value("unit"), Mould: f.Value("mould"), Remark: plainLines(f.Value("remark")),
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			p := views.NewOrder{New: views.New{Frame: s.frame(r, "/orders"), Form: f}}
			var err error
			if p.Designs, err = s.store.Designs(r.Context()); err != nil {
				return nil, err
			}
			p.Moulds, err = s.store.Moulds(r.Context())
			return views.NewOrderPage(p), err
		},
		made: func(e shop.OrderTaken) (to, notice string) {
			return views.PageOf("order", e.Order), "Order " + e.Order + " was taken."
		},
	}
}
