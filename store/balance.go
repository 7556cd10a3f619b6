package store

import (
	"context"
	"math"
	"strconv"
	"time"

	"sinterbook/store/calc/paste"
	"sinterbook/store/shop"
)

// A Balance is what the records say about the paste of one container: in is
// used, purged, wasted, scrapped, returned, left and unexplained.
type Balance struct {
	shop.Container
	Drawn       float64 // g, for inserts and coupons
	Purged      float64 // g, pushed through the nozzle and thrown away
	Wasted      float64 // g, thrown away otherwise, with the container too
	ScrappedOf  float64 // g of that, thrown away with the container
	Returned    float64 // g, sent back to the maker
	Unexplained float64 // g, that a weighing found missing; negative where it found more
	Draws       int
	Limit       shop.Limit // for unexplained mass, in force when it came out
	Answer      string     // what was found about that very mass, "" while nothing was
	AnsweredBy  string
}

// Account is the balance as an account of masses.
func (b Balance) Account() paste.Account {
	return paste.Account{In: b.In, Used: b.Drawn, Purged: b.Purged, Wasted: b.Wasted, Returned: b.Returned, Left: b.Left}
}

// AccountOf is the account of several containers together.
func AccountOf(all []Balance) paste.Account {
	var sum paste.Account
	for _, b := range all {
		sum = sum.Plus(b.Account())
	}
	return sum
}

// Over reports whether more mass is unexplained than the shop lets pass, or
// more was taken out than was in it.
func (b Balance) Over() bool { return b.Account().Flag(b.Limit.Value.Value()) }

// Flagged reports whether somebody has to look into it.
func (b Balance) Flagged() bool { return b.Over() && b.Answer == "" }

// State says in a word how a container stands.
func (b Balance) State() string {
	switch {
	case !b.Container.Returned.IsZero():
		return "sent back"
	case !b.Scrapped.IsZero():
		return "scrapped"
	case !b.Opened.IsZero():
		return "open"
	}
	return "sealed"
}

var balanceColumns = `SELECT c.id, c.container, lot.lot, c.mass_g, ` + containerBalance + `, ` + containerFields + `,
	coalesce((SELECT sum(drawn_g) FROM draw WHERE draw.container_id = c.id AND corrected_by IS NULL), 0) + coalesce((SELECT sum(drawn_g) FROM coupon WHERE coupon.container_id = c.id), 0),
	coalesce((SELECT sum(purged_g) FROM draw WHERE draw.container_id = c.id AND corrected_by IS NULL), 0) + coalesce((SELECT sum(purged_g) FROM coupon WHERE coupon.container_id = c.id), 0),
	coalesce((SELECT sum(mass_g) FROM paste_waste WHERE paste_waste.container_id = c.id), 0),
	coalesce((SELECT sum(mass_g) FROM paste_waste v WHERE v.container_id = c.id AND ` + scraps + `), 0),
	coalesce((SELECT sum(mass_g) FROM paste_return WHERE paste_return.container_id = c.id), 0),
	(SELECT count(*) FROM draw WHERE draw.container_id = c.id AND corrected_by IS NULL) + (SELECT count(*) FROM coupon WHERE coupon.container_id = c.id),
	coalesce(x.difference_g, 0), coalesce(x.why, ''), coalesce(x.by_badge, '')
	FROM container c JOIN lot ON lot.id = c.lot_id` + lastWeighing + `
	LEFT JOIN paste_difference x ON x.id = (SELECT max(y.id) FROM paste_difference y WHERE y.container_id = c.id)`

// scanBalance reads a balance. What a container that is gone should still hold
// is not in it any more: it is unexplained.
func scanBalance(limits []shop.Limit) func(scanner) (Balance, error) {
	return func(row scanner) (Balance, error) {
		var b Balance
		var answered float64
		c, err := readContainer(row, &b.Drawn, &b.Purged, &b.Wasted, &b.ScrappedOf, &b.Returned, &b.Draws, &answered, &b.Answer, &b.AnsweredBy)
		b.Container = c
		if !c.Gone().IsZero() {
			b.Left = 0
		}
		for _, g := range []*float64{&b.Drawn, &b.Purged, &b.Wasted, &b.ScrappedOf, &b.Returned} {
			*g = tidy(*g)
		}
		b.Unexplained = b.Account().Unexplained()
		b.Limit = shop.LimitAt(limits, shop.UnexplainedMass, cameOut(c))
		if math.Abs(answered-b.Unexplained) > 0.05 { // another mass than the one that was looked into
			b.Answer, b.AnsweredBy = "", ""
		}
		return b, err
	}
}

// cameOut is when mass could be found missing last: when the container was
// weighed, or went.
func cameOut(c shop.Container) time.Time {
	if c.Gone().After(c.Weighed) {
		return c.Gone()
	}
	return c.Weighed
}

// Balances lists the containers of a lot by number with what was taken out of
// each; "" asks for those of every lot. Replaced records do not count.
func (s *Store) Balances(ctx context.Context, lot string) ([]Balance, error) {
	return asOfNow(ctx, s.db, "balances/"+lot, func() ([]Balance, error) { return balancesOf(ctx, s.db, "$1 = '' OR lot.lot = $1", lot) })
}

// BalancesOnFloor lists the containers that are open, and all of lots that may
// still be printed on a day.
func (s *Store) BalancesOnFloor(ctx context.Context, day shop.Date) ([]Balance, error) {
	return asOfNow(ctx, s.db, "open paste/"+string(day), func() ([]Balance, error) { return s.readOnFloor(ctx, day) })
}

func (s *Store) readOnFloor(ctx context.Context, day shop.Date) ([]Balance, error) {
	return balancesOf(ctx, s.db, "lot.expires_day >= $1 OR c.opened_at IS NOT NULL AND c.scrapped_at IS NULL AND c.returned_at IS NULL", string(day))
}

func balancesOf(ctx context.Context, q querier, which, number string) ([]Balance, error) {
	limits, err := shopLimits(ctx, q)
	if err != nil {
		return nil, err
	}
	return list(ctx, q, "balances of "+number, scanBalance(limits), balanceColumns+" WHERE "+which+" ORDER BY c.container", number)
}

// differing is the mass of a container that is unexplained now, for the record
// of what was found about it.
func differing(ctx context.Context, q querier, container string) (shop.Reading, error) {
	all, err := balancesOf(ctx, q, "c.container = $1", container)
	switch {
	case err != nil:
		return shop.Reading{}, err
	case len(all) == 0:
		return shop.Reading{}, shop.NotFound("container", container)
	case all[0].Unexplained == 0:
		return shop.Reading{}, shop.Conflict("Nothing is unexplained of container %s.", container)
	}
	return shop.ParseReading(strconv.FormatFloat(all[0].Unexplained, 'f', -1, 64), "g", shop.Mass)
}

func (a applying) differenceExplained(e shop.DifferenceExplained) error {
	id, err := thing(a.ctx, a.q, "container", e.Container)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO paste_difference (id, container_id, difference_text, difference_unit, difference_g, why, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		args(a.seq, id, e.Difference, e.Why, a.at(), a.By)...)
}
