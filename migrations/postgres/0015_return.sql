-- +goose Up
-- What left with each delivery, and what came back.
CREATE TABLE delivery_item (
  delivery_id BIGINT NOT NULL REFERENCES delivery (id),
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  PRIMARY KEY (delivery_id, insert_id)
);
CREATE INDEX delivery_item_of_insert ON delivery_item (insert_id);
-- Until now nothing came back: what is delivered left with its mould's one delivery.
INSERT INTO delivery_item (delivery_id, insert_id)
SELECT delivery.id, i.id FROM delivery JOIN mould_insert i ON i.mould_id = delivery.mould_id WHERE i.status = 'delivered';
CREATE TABLE customer_return (
  id BIGINT PRIMARY KEY,
  mould_id BIGINT REFERENCES mould (id),
  note TEXT COLLATE "C" NOT NULL,
  why TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX customer_return_of_mould ON customer_return (mould_id);
CREATE TABLE return_item (
  return_id BIGINT NOT NULL REFERENCES customer_return (id),
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  back TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (return_id, insert_id)
);
CREATE INDEX return_item_of_insert ON return_item (insert_id, back);
