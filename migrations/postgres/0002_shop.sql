-- +goose Up
-- The tables below are a projection: replaying the log makes them anew. An id
-- is the number of the log entry that made the row.

-- How often each thing was written about, and in which entries.
CREATE TABLE subject (
  name TEXT COLLATE "C" PRIMARY KEY,
  n BIGINT NOT NULL
);
CREATE TABLE subject_entry (
  name TEXT COLLATE "C" NOT NULL,
  n BIGINT NOT NULL,
  seq BIGINT NOT NULL,
  PRIMARY KEY (name, n)
);

CREATE TABLE book (
  id BIGINT PRIMARY KEY,
  site TEXT COLLATE "C" NOT NULL,
  zone TEXT COLLATE "C" NOT NULL,
  verifier TEXT COLLATE "C" NOT NULL
);
CREATE TABLE verifier (
  seq BIGINT PRIMARY KEY,
  verifier TEXT COLLATE "C" NOT NULL
);

-- Scan codes of all things.
CREATE TABLE code (
  code TEXT COLLATE "C" PRIMARY KEY,
  kind TEXT COLLATE "C" NOT NULL,
  number TEXT COLLATE "C" NOT NULL
);

CREATE TABLE person (
  id BIGINT PRIMARY KEY,
  badge TEXT COLLATE "C" NOT NULL UNIQUE,
  roles TEXT COLLATE "C" NOT NULL,
  since_day TEXT COLLATE "C" NOT NULL,
  until_day TEXT COLLATE "C" NOT NULL,
  code TEXT COLLATE "C" NOT NULL
);
CREATE TABLE authorisation (
  person_id BIGINT NOT NULL REFERENCES person (id),
  operation TEXT COLLATE "C" NOT NULL,
  since_day TEXT COLLATE "C" NOT NULL,
  until_day TEXT COLLATE "C" NOT NULL,
  given_by TEXT COLLATE "C" NOT NULL,
  evidence TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (person_id, operation, since_day)
);

CREATE TABLE station (
  id BIGINT PRIMARY KEY,
  station TEXT COLLATE "C" NOT NULL UNIQUE,
  name TEXT COLLATE "C" NOT NULL,
  operation TEXT COLLATE "C" NOT NULL,
  equipment TEXT COLLATE "C" NOT NULL,
  code TEXT COLLATE "C" NOT NULL
);

CREATE TABLE policy (
  seq BIGINT PRIMARY KEY,
  gate TEXT COLLATE "C" NOT NULL,
  operation TEXT COLLATE "C" NOT NULL,
  from_at TIMESTAMPTZ NOT NULL,
  mode TEXT COLLATE "C" NOT NULL,
  note TEXT COLLATE "C" NOT NULL
);

CREATE TABLE route (
  id BIGINT PRIMARY KEY,
  template TEXT COLLATE "C" NOT NULL,
  version BIGINT NOT NULL,
  UNIQUE (template, version)
);
CREATE TABLE route_step (
  route_id BIGINT NOT NULL REFERENCES route (id),
  step BIGINT NOT NULL,
  operation TEXT COLLATE "C" NOT NULL,
  acts TEXT COLLATE "C" NOT NULL,
  optional BIGINT NOT NULL,
  yields TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (route_id, step)
);

CREATE TABLE design (
  id BIGINT PRIMARY KEY,
  design TEXT COLLATE "C" NOT NULL,
  revision TEXT COLLATE "C" NOT NULL,
  name TEXT COLLATE "C" NOT NULL,
  material TEXT COLLATE "C" NOT NULL,
  drawing_unit TEXT COLLATE "C" NOT NULL,
  x_text TEXT COLLATE "C" NOT NULL, x_unit TEXT COLLATE "C" NOT NULL, x_mm DOUBLE PRECISION NOT NULL,
  y_text TEXT COLLATE "C" NOT NULL, y_unit TEXT COLLATE "C" NOT NULL, y_mm DOUBLE PRECISION NOT NULL,
  z_text TEXT COLLATE "C" NOT NULL, z_unit TEXT COLLATE "C" NOT NULL, z_mm DOUBLE PRECISION NOT NULL,
  layer_text TEXT COLLATE "C" NOT NULL, layer_unit TEXT COLLATE "C" NOT NULL, layer_mm DOUBLE PRECISION NOT NULL,
  layers_between_passes BIGINT NOT NULL,
  orientation TEXT COLLATE "C" NOT NULL,
  superseded BIGINT NOT NULL,
  UNIQUE (design, revision)
);
CREATE TABLE characteristic (
  design_id BIGINT NOT NULL REFERENCES design (id),
  place BIGINT NOT NULL,
  number TEXT COLLATE "C" NOT NULL,
  name TEXT COLLATE "C" NOT NULL,
  axis TEXT COLLATE "C" NOT NULL,
  quantity TEXT COLLATE "C" NOT NULL,
  nominal_text TEXT COLLATE "C", nominal_unit TEXT COLLATE "C", nominal DOUBLE PRECISION,
  lower_text TEXT COLLATE "C", lower_unit TEXT COLLATE "C", lower_value DOUBLE PRECISION,
  upper_text TEXT COLLATE "C", upper_unit TEXT COLLATE "C", upper_value DOUBLE PRECISION,
  is_key BIGINT NOT NULL,
  how TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (design_id, place),
  UNIQUE (design_id, number)
);

CREATE TABLE mould (
  id BIGINT PRIMARY KEY,
  mould TEXT COLLATE "C" NOT NULL UNIQUE,
  customer TEXT COLLATE "C" NOT NULL,
  shipped_at TIMESTAMPTZ,
  code TEXT COLLATE "C" NOT NULL
);
CREATE TABLE customer_order (
  id BIGINT PRIMARY KEY,
  order_no TEXT COLLATE "C" NOT NULL UNIQUE,
  customer TEXT COLLATE "C" NOT NULL,
  design TEXT COLLATE "C" NOT NULL,
  quantity BIGINT NOT NULL,
  due_day TEXT COLLATE "C" NOT NULL,
  unit TEXT COLLATE "C" NOT NULL,
  mould_id BIGINT REFERENCES mould (id),
  remark TEXT COLLATE "C" NOT NULL
);

CREATE TABLE lot (
  id BIGINT PRIMARY KEY,
  lot TEXT COLLATE "C" NOT NULL UNIQUE,
  material TEXT COLLATE "C" NOT NULL,
  made_day TEXT COLLATE "C" NOT NULL,
  expires_day TEXT COLLATE "C" NOT NULL,
  open_life_days BIGINT NOT NULL,
  certificate TEXT COLLATE "C" NOT NULL,
  received_at TIMESTAMPTZ NOT NULL,
  released_at TIMESTAMPTZ,
  released_by TEXT COLLATE "C" NOT NULL,
  code TEXT COLLATE "C" NOT NULL
);
CREATE TABLE container (
  id BIGINT PRIMARY KEY,
  container TEXT COLLATE "C" NOT NULL UNIQUE,
  lot_id BIGINT NOT NULL REFERENCES lot (id),
  mass_text TEXT COLLATE "C" NOT NULL, mass_unit TEXT COLLATE "C" NOT NULL, mass_g DOUBLE PRECISION NOT NULL,
  opened_at TIMESTAMPTZ,
  code TEXT COLLATE "C" NOT NULL
);
CREATE INDEX container_of_lot ON container (lot_id);

CREATE TABLE machine (
  id BIGINT PRIMARY KEY,
  machine TEXT COLLATE "C" NOT NULL UNIQUE,
  nozzle_text TEXT COLLATE "C" NOT NULL, nozzle_unit TEXT COLLATE "C" NOT NULL, nozzle_mm DOUBLE PRECISION NOT NULL,
  code TEXT COLLATE "C" NOT NULL
);
CREATE TABLE furnace (
  id BIGINT PRIMARY KEY,
  furnace TEXT COLLATE "C" NOT NULL UNIQUE,
  code TEXT COLLATE "C" NOT NULL
);
CREATE TABLE furnace_position (
  furnace_id BIGINT NOT NULL REFERENCES furnace (id),
  place BIGINT NOT NULL,
  position TEXT COLLATE "C" NOT NULL,
  zone TEXT COLLATE "C" NOT NULL,
  use_for TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (furnace_id, place),
  UNIQUE (furnace_id, position)
);
CREATE TABLE gauge (
  id BIGINT PRIMARY KEY,
  gauge TEXT COLLATE "C" NOT NULL UNIQUE,
  type TEXT COLLATE "C" NOT NULL,
  range_words TEXT COLLATE "C" NOT NULL,
  resolution_text TEXT COLLATE "C", resolution_unit TEXT COLLATE "C", resolution DOUBLE PRECISION,
  error_text TEXT COLLATE "C", error_unit TEXT COLLATE "C", error_value DOUBLE PRECISION,
  code TEXT COLLATE "C" NOT NULL
);

CREATE TABLE design_release (
  id BIGINT PRIMARY KEY,
  release TEXT COLLATE "C" NOT NULL UNIQUE,
  design_id BIGINT NOT NULL REFERENCES design (id),
  lot_id BIGINT NOT NULL REFERENCES lot (id),
  machine_id BIGINT NOT NULL REFERENCES machine (id),
  recipe TEXT COLLATE "C" NOT NULL,
  orientation TEXT COLLATE "C" NOT NULL,
  kx_text TEXT COLLATE "C" NOT NULL, ky_text TEXT COLLATE "C" NOT NULL, kz_text TEXT COLLATE "C" NOT NULL,
  evidence TEXT COLLATE "C" NOT NULL,
  program TEXT COLLATE "C" NOT NULL,
  program_sha256 TEXT COLLATE "C" NOT NULL,
  supersedes TEXT COLLATE "C" NOT NULL,
  superseded_by TEXT COLLATE "C" NOT NULL,
  superseded_at TIMESTAMPTZ
);
CREATE INDEX release_of_lot ON design_release (lot_id);
CREATE TABLE release_signature (
  release_id BIGINT NOT NULL REFERENCES design_release (id),
  seq BIGINT NOT NULL,
  signed_by TEXT COLLATE "C" NOT NULL,
  meaning TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  PRIMARY KEY (release_id, seq)
);

CREATE TABLE mould_insert (
  id BIGINT PRIMARY KEY,
  serial TEXT COLLATE "C" NOT NULL UNIQUE,
  design_id BIGINT NOT NULL REFERENCES design (id),
  order_id BIGINT NOT NULL REFERENCES customer_order (id),
  route_id BIGINT NOT NULL REFERENCES route (id),
  release_id BIGINT REFERENCES design_release (id),
  opened_at TIMESTAMPTZ NOT NULL,
  replaces TEXT COLLATE "C" NOT NULL,
  scratch TEXT COLLATE "C" NOT NULL,
  code TEXT COLLATE "C" NOT NULL,
  status TEXT COLLATE "C" NOT NULL,
  since_at TIMESTAMPTZ NOT NULL,
  place TEXT COLLATE "C" NOT NULL,
  carrier TEXT COLLATE "C" NOT NULL,
  machine_id BIGINT REFERENCES machine (id),
  load_id BIGINT,
  position TEXT COLLATE "C" NOT NULL,
  mould_id BIGINT REFERENCES mould (id),
  mould_place TEXT COLLATE "C" NOT NULL,
  next_operation TEXT COLLATE "C" NOT NULL,
  next_begun BIGINT NOT NULL,
  open BIGINT NOT NULL
);
CREATE INDEX insert_on_floor ON mould_insert (id) WHERE open = 1;
CREATE INDEX insert_of_order ON mould_insert (order_id);
CREATE INDEX insert_in_mould ON mould_insert (mould_id, mould_place);
CREATE TABLE insert_step (
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  pass BIGINT NOT NULL,
  step BIGINT NOT NULL,
  operation TEXT COLLATE "C" NOT NULL,
  optional BIGINT NOT NULL,
  state TEXT COLLATE "C" NOT NULL,
  started_at TIMESTAMPTZ,
  started_by TEXT COLLATE "C" NOT NULL,
  finished_at TIMESTAMPTZ,
  finished_by TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (insert_id, pass, step)
);

CREATE TABLE print (
  id BIGINT PRIMARY KEY,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  release_id BIGINT NOT NULL REFERENCES design_release (id),
  machine_id BIGINT NOT NULL REFERENCES machine (id),
  program_sha256 TEXT COLLATE "C" NOT NULL,
  carrier TEXT COLLATE "C" NOT NULL,
  kx_text TEXT COLLATE "C" NOT NULL, ky_text TEXT COLLATE "C" NOT NULL, kz_text TEXT COLLATE "C" NOT NULL,
  layers BIGINT NOT NULL,
  plate_text TEXT COLLATE "C", plate_unit TEXT COLLATE "C", plate_c DOUBLE PRECISION,
  started_at TIMESTAMPTZ NOT NULL,
  started_by TEXT COLLATE "C" NOT NULL,
  layers_done BIGINT,
  printed_text TEXT COLLATE "C", printed_unit TEXT COLLATE "C", printed_g DOUBLE PRECISION,
  finished_at TIMESTAMPTZ,
  finished_by TEXT COLLATE "C" NOT NULL
);
CREATE INDEX print_of_insert ON print (insert_id);
CREATE INDEX print_running ON print (machine_id) WHERE finished_at IS NULL;
CREATE TABLE layers_made (
  id BIGINT PRIMARY KEY,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  from_layer BIGINT NOT NULL,
  to_layer BIGINT NOT NULL,
  dried_text TEXT COLLATE "C", dried_unit TEXT COLLATE "C", dried_s DOUBLE PRECISION,
  air_text TEXT COLLATE "C", air_unit TEXT COLLATE "C", air_c DOUBLE PRECISION,
  pass BIGINT NOT NULL,
  cutter TEXT COLLATE "C" NOT NULL,
  probe_text TEXT COLLATE "C", probe_unit TEXT COLLATE "C", probe_mm DOUBLE PRECISION,
  remark TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX layers_of_insert ON layers_made (insert_id);
CREATE TABLE draw (
  id BIGINT PRIMARY KEY,
  container_id BIGINT NOT NULL REFERENCES container (id),
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  from_layer BIGINT NOT NULL,
  to_layer BIGINT NOT NULL,
  drawn_text TEXT COLLATE "C" NOT NULL, drawn_unit TEXT COLLATE "C" NOT NULL, drawn_g DOUBLE PRECISION NOT NULL,
  purged_text TEXT COLLATE "C", purged_unit TEXT COLLATE "C", purged_g DOUBLE PRECISION,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  corrected_by BIGINT
);
CREATE INDEX draw_of_container ON draw (container_id);
CREATE INDEX draw_of_insert ON draw (insert_id);

CREATE TABLE drying (
  id BIGINT PRIMARY KEY,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  oven TEXT COLLATE "C" NOT NULL,
  shelf TEXT COLLATE "C" NOT NULL,
  air_text TEXT COLLATE "C" NOT NULL, air_unit TEXT COLLATE "C" NOT NULL, air_c DOUBLE PRECISION NOT NULL,
  wet_text TEXT COLLATE "C" NOT NULL, wet_unit TEXT COLLATE "C" NOT NULL, wet_g DOUBLE PRECISION NOT NULL,
  started_at TIMESTAMPTZ NOT NULL,
  started_by TEXT COLLATE "C" NOT NULL,
  dry_text TEXT COLLATE "C", dry_unit TEXT COLLATE "C", dry_g DOUBLE PRECISION,
  loss_text TEXT COLLATE "C", loss_unit TEXT COLLATE "C", loss_pct DOUBLE PRECISION,
  finished_at TIMESTAMPTZ,
  finished_by TEXT COLLATE "C" NOT NULL
);
CREATE INDEX drying_of_insert ON drying (insert_id);

CREATE TABLE furnace_load (
  id BIGINT PRIMARY KEY,
  load TEXT COLLATE "C" NOT NULL UNIQUE,
  furnace_id BIGINT NOT NULL REFERENCES furnace (id),
  recipe TEXT COLLATE "C" NOT NULL,
  opened_by TEXT COLLATE "C" NOT NULL,
  door_closed_at TIMESTAMPTZ,
  door_closed_by TEXT COLLATE "C" NOT NULL,
  door_opened_at TIMESTAMPTZ,
  door_opened_by TEXT COLLATE "C" NOT NULL,
  code TEXT COLLATE "C" NOT NULL
);
CREATE TABLE load_item (
  load_id BIGINT NOT NULL REFERENCES furnace_load (id),
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  position TEXT COLLATE "C" NOT NULL,
  setter TEXT COLLATE "C" NOT NULL,
  placed_at TIMESTAMPTZ NOT NULL,
  placed_by TEXT COLLATE "C" NOT NULL,
  scanned_out BIGINT NOT NULL,
  PRIMARY KEY (load_id, insert_id)
);
CREATE INDEX load_of_insert ON load_item (insert_id);

CREATE TABLE tempering (
  id BIGINT PRIMARY KEY,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  recipe TEXT COLLATE "C" NOT NULL,
  oven TEXT COLLATE "C" NOT NULL,
  started_at TIMESTAMPTZ NOT NULL,
  started_by TEXT COLLATE "C" NOT NULL,
  finished_at TIMESTAMPTZ,
  finished_by TEXT COLLATE "C" NOT NULL
);
CREATE INDEX tempering_of_insert ON tempering (insert_id);

CREATE TABLE result (
  id BIGINT PRIMARY KEY,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  characteristic TEXT COLLATE "C" NOT NULL,
  value_text TEXT COLLATE "C" NOT NULL, value_unit TEXT COLLATE "C" NOT NULL, value_base DOUBLE PRECISION NOT NULL,
  gauge_id BIGINT NOT NULL REFERENCES gauge (id),
  temp_text TEXT COLLATE "C", temp_unit TEXT COLLATE "C", temp_c DOUBLE PRECISION,
  purpose TEXT COLLATE "C" NOT NULL,
  verdict TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  corrected_by BIGINT
);
CREATE INDEX result_of_insert ON result (insert_id, characteristic);
CREATE INDEX result_of_gauge ON result (gauge_id, at);

CREATE TABLE fit_up (
  id BIGINT PRIMARY KEY,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  mould_id BIGINT NOT NULL REFERENCES mould (id),
  place TEXT COLLATE "C" NOT NULL,
  pocket_x_text TEXT COLLATE "C", pocket_x_unit TEXT COLLATE "C", pocket_x_mm DOUBLE PRECISION,
  pocket_y_text TEXT COLLATE "C", pocket_y_unit TEXT COLLATE "C", pocket_y_mm DOUBLE PRECISION,
  gap_x_text TEXT COLLATE "C", gap_x_unit TEXT COLLATE "C", gap_x_mm DOUBLE PRECISION,
  gap_y_text TEXT COLLATE "C", gap_y_unit TEXT COLLATE "C", gap_y_mm DOUBLE PRECISION,
  shim_text TEXT COLLATE "C", shim_unit TEXT COLLATE "C", shim_mm DOUBLE PRECISION,
  spotting_text TEXT COLLATE "C", spotting_unit TEXT COLLATE "C", spotting_pct DOUBLE PRECISION,
  hours_text TEXT COLLATE "C", hours_unit TEXT COLLATE "C", hours_s DOUBLE PRECISION,
  note TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  corrected_by BIGINT
);
CREATE INDEX fit_of_insert ON fit_up (insert_id);
CREATE TABLE fit_face (
  fit_id BIGINT NOT NULL REFERENCES fit_up (id),
  place BIGINT NOT NULL,
  face TEXT COLLATE "C" NOT NULL,
  removed_text TEXT COLLATE "C", removed_unit TEXT COLLATE "C", removed_mm DOUBLE PRECISION,
  shim_text TEXT COLLATE "C", shim_unit TEXT COLLATE "C", shim_mm DOUBLE PRECISION,
  PRIMARY KEY (fit_id, place)
);

CREATE TABLE delivery (
  id BIGINT PRIMARY KEY,
  mould_id BIGINT NOT NULL REFERENCES mould (id),
  note TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);

CREATE TABLE hold (
  id BIGINT PRIMARY KEY,
  hold TEXT COLLATE "C" NOT NULL UNIQUE,
  on_kind TEXT COLLATE "C" NOT NULL,
  on_code TEXT COLLATE "C" NOT NULL,
  reason TEXT COLLATE "C" NOT NULL,
  set_at TIMESTAMPTZ NOT NULL,
  set_by TEXT COLLATE "C" NOT NULL,
  lifted_at TIMESTAMPTZ,
  lifted_by TEXT COLLATE "C" NOT NULL,
  lift_reason TEXT COLLATE "C" NOT NULL
);
CREATE INDEX hold_on ON hold (on_kind, on_code);

-- What a gate said no to.
CREATE TABLE refusal (
  seq BIGINT PRIMARY KEY,
  tried TEXT COLLATE "C" NOT NULL,
  subject TEXT COLLATE "C" NOT NULL,
  operation TEXT COLLATE "C" NOT NULL,
  gate TEXT COLLATE "C" NOT NULL,
  why TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  entered_at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  station TEXT COLLATE "C" NOT NULL
);
CREATE INDEX refusal_of_subject ON refusal (subject, seq);
