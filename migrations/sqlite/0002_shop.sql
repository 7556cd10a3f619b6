-- +goose Up
-- The tables below are a projection: replaying the log makes them anew. An id
-- is the number of the log entry that made the row.

-- How often each thing was written about, and in which entries.
CREATE TABLE subject (
  name TEXT PRIMARY KEY,
  n INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE subject_entry (
  name TEXT NOT NULL,
  n INTEGER NOT NULL,
  seq INTEGER NOT NULL,
  PRIMARY KEY (name, n)
) STRICT, WITHOUT ROWID;

CREATE TABLE book (
  id INTEGER PRIMARY KEY,
  site TEXT NOT NULL,
  zone TEXT NOT NULL,
  verifier TEXT NOT NULL
) STRICT;
CREATE TABLE verifier (
  seq INTEGER PRIMARY KEY,
  verifier TEXT NOT NULL
) STRICT;

-- Scan codes of all things.
CREATE TABLE code (
  code TEXT PRIMARY KEY,
  kind TEXT NOT NULL,
  number TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE person (
  id INTEGER PRIMARY KEY,
  badge TEXT NOT NULL UNIQUE,
  roles TEXT NOT NULL,
  since_day TEXT NOT NULL,
  until_day TEXT NOT NULL,
  code TEXT NOT NULL
) STRICT;
CREATE TABLE authorisation (
  person_id INTEGER NOT NULL REFERENCES person (id),
  operation TEXT NOT NULL,
  since_day TEXT NOT NULL,
  until_day TEXT NOT NULL,
  given_by TEXT NOT NULL,
  evidence TEXT NOT NULL,
  PRIMARY KEY (person_id, operation, since_day)
) STRICT, WITHOUT ROWID;

CREATE TABLE station (
  id INTEGER PRIMARY KEY,
  station TEXT NOT NULL UNIQUE,
  name TEXT NOT NULL,
  operation TEXT NOT NULL,
  equipment TEXT NOT NULL,
  code TEXT NOT NULL
) STRICT;

CREATE TABLE policy (
  seq INTEGER PRIMARY KEY,
  gate TEXT NOT NULL,
  operation TEXT NOT NULL,
  from_at TEXT NOT NULL,
  mode TEXT NOT NULL,
  note TEXT NOT NULL
) STRICT;

CREATE TABLE route (
  id INTEGER PRIMARY KEY,
  template TEXT NOT NULL,
  version INTEGER NOT NULL,
  UNIQUE (template, version)
) STRICT;
CREATE TABLE route_step (
  route_id INTEGER NOT NULL REFERENCES route (id),
  step INTEGER NOT NULL,
  operation TEXT NOT NULL,
  acts TEXT NOT NULL,
  optional INTEGER NOT NULL,
  yields TEXT NOT NULL,
  PRIMARY KEY (route_id, step)
) STRICT, WITHOUT ROWID;

CREATE TABLE design (
  id INTEGER PRIMARY KEY,
  design TEXT NOT NULL,
  revision TEXT NOT NULL,
  name TEXT NOT NULL,
  material TEXT NOT NULL,
  drawing_unit TEXT NOT NULL,
  x_text TEXT NOT NULL, x_unit TEXT NOT NULL, x_mm REAL NOT NULL,
  y_text TEXT NOT NULL, y_unit TEXT NOT NULL, y_mm REAL NOT NULL,
  z_text TEXT NOT NULL, z_unit TEXT NOT NULL, z_mm REAL NOT NULL,
  layer_text TEXT NOT NULL, layer_unit TEXT NOT NULL, layer_mm REAL NOT NULL,
  layers_between_passes INTEGER NOT NULL,
  orientation TEXT NOT NULL,
  superseded INTEGER NOT NULL,
  UNIQUE (design, revision)
) STRICT;
CREATE TABLE characteristic (
  design_id INTEGER NOT NULL REFERENCES design (id),
  place INTEGER NOT NULL,
  number TEXT NOT NULL,
  name TEXT NOT NULL,
  axis TEXT NOT NULL,
  quantity TEXT NOT NULL,
  nominal_text TEXT, nominal_unit TEXT, nominal REAL,
  lower_text TEXT, lower_unit TEXT, lower_value REAL,
  upper_text TEXT, upper_unit TEXT, upper_value REAL,
  is_key INTEGER NOT NULL,
  how TEXT NOT NULL,
  PRIMARY KEY (design_id, place),
  UNIQUE (design_id, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE mould (
  id INTEGER PRIMARY KEY,
  mould TEXT NOT NULL UNIQUE,
  customer TEXT NOT NULL,
  shipped_at TEXT,
  code TEXT NOT NULL
) STRICT;
CREATE TABLE customer_order (
  id INTEGER PRIMARY KEY,
  order_no TEXT NOT NULL UNIQUE,
  customer TEXT NOT NULL,
  design TEXT NOT NULL,
  quantity INTEGER NOT NULL,
  due_day TEXT NOT NULL,
  unit TEXT NOT NULL,
  mould_id INTEGER REFERENCES mould (id),
  remark TEXT NOT NULL
) STRICT;

CREATE TABLE lot (
  id INTEGER PRIMARY KEY,
  lot TEXT NOT NULL UNIQUE,
  material TEXT NOT NULL,
  made_day TEXT NOT NULL,
  expires_day TEXT NOT NULL,
  open_life_days INTEGER NOT NULL,
  certificate TEXT NOT NULL,
  received_at TEXT NOT NULL,
  released_at TEXT,
  released_by TEXT NOT NULL,
  code TEXT NOT NULL
) STRICT;
CREATE TABLE container (
  id INTEGER PRIMARY KEY,
  container TEXT NOT NULL UNIQUE,
  lot_id INTEGER NOT NULL REFERENCES lot (id),
  mass_text TEXT NOT NULL, mass_unit TEXT NOT NULL, mass_g REAL NOT NULL,
  opened_at TEXT,
  code TEXT NOT NULL
) STRICT;
CREATE INDEX container_of_lot ON container (lot_id);

CREATE TABLE machine (
  id INTEGER PRIMARY KEY,
  machine TEXT NOT NULL UNIQUE,
  nozzle_text TEXT NOT NULL, nozzle_unit TEXT NOT NULL, nozzle_mm REAL NOT NULL,
  code TEXT NOT NULL
) STRICT;
CREATE TABLE furnace (
  id INTEGER PRIMARY KEY,
  furnace TEXT NOT NULL UNIQUE,
  code TEXT NOT NULL
) STRICT;
CREATE TABLE furnace_position (
  furnace_id INTEGER NOT NULL REFERENCES furnace (id),
  place INTEGER NOT NULL,
  position TEXT NOT NULL,
  zone TEXT NOT NULL,
  use_for TEXT NOT NULL,
  PRIMARY KEY (furnace_id, place),
  UNIQUE (furnace_id, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE gauge (
  id INTEGER PRIMARY KEY,
  gauge TEXT NOT NULL UNIQUE,
  type TEXT NOT NULL,
  range_words TEXT NOT NULL,
  resolution_text TEXT, resolution_unit TEXT, resolution REAL,
  error_text TEXT, error_unit TEXT, error_value REAL,
  code TEXT NOT NULL
) STRICT;

CREATE TABLE design_release (
  id INTEGER PRIMARY KEY,
  release TEXT NOT NULL UNIQUE,
  design_id INTEGER NOT NULL REFERENCES design (id),
  lot_id INTEGER NOT NULL REFERENCES lot (id),
  machine_id INTEGER NOT NULL REFERENCES machine (id),
  recipe TEXT NOT NULL,
  orientation TEXT NOT NULL,
  kx_text TEXT NOT NULL, ky_text TEXT NOT NULL, kz_text TEXT NOT NULL,
  evidence TEXT NOT NULL,
  program TEXT NOT NULL,
  program_sha256 TEXT NOT NULL,
  supersedes TEXT NOT NULL,
  superseded_by TEXT NOT NULL,
  superseded_at TEXT
) STRICT;
CREATE INDEX release_of_lot ON design_release (lot_id);
CREATE TABLE release_signature (
  release_id INTEGER NOT NULL REFERENCES design_release (id),
  seq INTEGER NOT NULL,
  signed_by TEXT NOT NULL,
  meaning TEXT NOT NULL,
  at TEXT NOT NULL,
  PRIMARY KEY (release_id, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE mould_insert (
  id INTEGER PRIMARY KEY,
  serial TEXT NOT NULL UNIQUE,
  design_id INTEGER NOT NULL REFERENCES design (id),
  order_id INTEGER NOT NULL REFERENCES customer_order (id),
  route_id INTEGER NOT NULL REFERENCES route (id),
  release_id INTEGER REFERENCES design_release (id),
  opened_at TEXT NOT NULL,
  replaces TEXT NOT NULL,
  scratch TEXT NOT NULL,
  code TEXT NOT NULL,
  status TEXT NOT NULL,
  since_at TEXT NOT NULL,
  place TEXT NOT NULL,
  carrier TEXT NOT NULL,
  machine_id INTEGER REFERENCES machine (id),
  load_id INTEGER,
  position TEXT NOT NULL,
  mould_id INTEGER REFERENCES mould (id),
  mould_place TEXT NOT NULL,
  next_operation TEXT NOT NULL,
  next_begun INTEGER NOT NULL,
  open INTEGER NOT NULL
) STRICT;
CREATE INDEX insert_on_floor ON mould_insert (id) WHERE open = 1;
CREATE INDEX insert_of_order ON mould_insert (order_id);
CREATE INDEX insert_in_mould ON mould_insert (mould_id, mould_place);
CREATE TABLE insert_step (
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  pass INTEGER NOT NULL,
  step INTEGER NOT NULL,
  operation TEXT NOT NULL,
  optional INTEGER NOT NULL,
  state TEXT NOT NULL,
  started_at TEXT,
  started_by TEXT NOT NULL,
  finished_at TEXT,
  finished_by TEXT NOT NULL,
  PRIMARY KEY (insert_id, pass, step)
) STRICT, WITHOUT ROWID;

CREATE TABLE print (
  id INTEGER PRIMARY KEY,
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  release_id INTEGER NOT NULL REFERENCES design_release (id),
  machine_id INTEGER NOT NULL REFERENCES machine (id),
  program_sha256 TEXT NOT NULL,
  carrier TEXT NOT NULL,
  kx_text TEXT NOT NULL, ky_text TEXT NOT NULL, kz_text TEXT NOT NULL,
  layers INTEGER NOT NULL,
  plate_text TEXT, plate_unit TEXT, plate_c REAL,
  started_at TEXT NOT NULL,
  started_by TEXT NOT NULL,
  layers_done INTEGER,
  printed_text TEXT, printed_unit TEXT, printed_g REAL,
  finished_at TEXT,
  finished_by TEXT NOT NULL
) STRICT;
CREATE INDEX print_of_insert ON print (insert_id);
CREATE INDEX print_running ON print (machine_id) WHERE finished_at IS NULL;
CREATE TABLE layers_made (
  id INTEGER PRIMARY KEY,
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  from_layer INTEGER NOT NULL,
  to_layer INTEGER NOT NULL,
  dried_text TEXT, dried_unit TEXT, dried_s REAL,
  air_text TEXT, air_unit TEXT, air_c REAL,
  pass INTEGER NOT NULL,
  cutter TEXT NOT NULL,
  probe_text TEXT, probe_unit TEXT, probe_mm REAL,
  remark TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX layers_of_insert ON layers_made (insert_id);
CREATE TABLE draw (
  id INTEGER PRIMARY KEY,
  container_id INTEGER NOT NULL REFERENCES container (id),
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  from_layer INTEGER NOT NULL,
  to_layer INTEGER NOT NULL,
  drawn_text TEXT NOT NULL, drawn_unit TEXT NOT NULL, drawn_g REAL NOT NULL,
  purged_text TEXT, purged_unit TEXT, purged_g REAL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  corrected_by INTEGER
) STRICT;
CREATE INDEX draw_of_container ON draw (container_id);
CREATE INDEX draw_of_insert ON draw (insert_id);

CREATE TABLE drying (
  id INTEGER PRIMARY KEY,
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  oven TEXT NOT NULL,
  shelf TEXT NOT NULL,
  air_text TEXT NOT NULL, air_unit TEXT NOT NULL, air_c REAL NOT NULL,
  wet_text TEXT NOT NULL, wet_unit TEXT NOT NULL, wet_g REAL NOT NULL,
  started_at TEXT NOT NULL,
  started_by TEXT NOT NULL,
  dry_text TEXT, dry_unit TEXT, dry_g REAL,
  loss_text TEXT, loss_unit TEXT, loss_pct REAL,
  finished_at TEXT,
  finished_by TEXT NOT NULL
) STRICT;
CREATE INDEX drying_of_insert ON drying (insert_id);

CREATE TABLE furnace_load (
  id INTEGER PRIMARY KEY,
  load TEXT NOT NULL UNIQUE,
  furnace_id INTEGER NOT NULL REFERENCES furnace (id),
  recipe TEXT NOT NULL,
  opened_by TEXT NOT NULL,
  door_closed_at TEXT,
  door_closed_by TEXT NOT NULL,
  door_opened_at TEXT,
  door_opened_by TEXT NOT NULL,
  code TEXT NOT NULL
) STRICT;
CREATE TABLE load_item (
  load_id INTEGER NOT NULL REFERENCES furnace_load (id),
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  position TEXT NOT NULL,
  setter TEXT NOT NULL,
  placed_at TEXT NOT NULL,
  placed_by TEXT NOT NULL,
  scanned_out INTEGER NOT NULL,
  PRIMARY KEY (load_id, insert_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX load_of_insert ON load_item (insert_id);

CREATE TABLE tempering (
  id INTEGER PRIMARY KEY,
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  recipe TEXT NOT NULL,
  oven TEXT NOT NULL,
  started_at TEXT NOT NULL,
  started_by TEXT NOT NULL,
  finished_at TEXT,
  finished_by TEXT NOT NULL
) STRICT;
CREATE INDEX tempering_of_insert ON tempering (insert_id);

CREATE TABLE result (
  id INTEGER PRIMARY KEY,
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  characteristic TEXT NOT NULL,
  value_text TEXT NOT NULL, value_unit TEXT NOT NULL, value_base REAL NOT NULL,
  gauge_id INTEGER NOT NULL REFERENCES gauge (id),
  temp_text TEXT, temp_unit TEXT, temp_c REAL,
  purpose TEXT NOT NULL,
  verdict TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  corrected_by INTEGER
) STRICT;
CREATE INDEX result_of_insert ON result (insert_id, characteristic);
CREATE INDEX result_of_gauge ON result (gauge_id, at);

CREATE TABLE fit_up (
  id INTEGER PRIMARY KEY,
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  mould_id INTEGER NOT NULL REFERENCES mould (id),
  place TEXT NOT NULL,
  pocket_x_text TEXT, pocket_x_unit TEXT, pocket_x_mm REAL,
  pocket_y_text TEXT, pocket_y_unit TEXT, pocket_y_mm REAL,
  gap_x_text TEXT, gap_x_unit TEXT, gap_x_mm REAL,
  gap_y_text TEXT, gap_y_unit TEXT, gap_y_mm REAL,
  shim_text TEXT, shim_unit TEXT, shim_mm REAL,
  spotting_text TEXT, spotting_unit TEXT, spotting_pct REAL,
  hours_text TEXT, hours_unit TEXT, hours_s REAL,
  note TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  corrected_by INTEGER
) STRICT;
CREATE INDEX fit_of_insert ON fit_up (insert_id);
CREATE TABLE fit_face (
  fit_id INTEGER NOT NULL REFERENCES fit_up (id),
  place INTEGER NOT NULL,
  face TEXT NOT NULL,
  removed_text TEXT, removed_unit TEXT, removed_mm REAL,
  shim_text TEXT, shim_unit TEXT, shim_mm REAL,
  PRIMARY KEY (fit_id, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE delivery (
  id INTEGER PRIMARY KEY,
  mould_id INTEGER NOT NULL REFERENCES mould (id),
  note TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;

CREATE TABLE hold (
  id INTEGER PRIMARY KEY,
  hold TEXT NOT NULL UNIQUE,
  on_kind TEXT NOT NULL,
  on_code TEXT NOT NULL,
  reason TEXT NOT NULL,
  set_at TEXT NOT NULL,
  set_by TEXT NOT NULL,
  lifted_at TEXT,
  lifted_by TEXT NOT NULL,
  lift_reason TEXT NOT NULL
) STRICT;
CREATE INDEX hold_on ON hold (on_kind, on_code);

-- What a gate said no to.
CREATE TABLE refusal (
  seq INTEGER PRIMARY KEY,
  tried TEXT NOT NULL,
  subject TEXT NOT NULL,
  operation TEXT NOT NULL,
  gate TEXT NOT NULL,
  why TEXT NOT NULL,
  at TEXT NOT NULL,
  entered_at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  station TEXT NOT NULL
) STRICT;
CREATE INDEX refusal_of_subject ON refusal (subject, seq);
