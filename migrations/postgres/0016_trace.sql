-- +goose Up
-- The ways back from a thing to the inserts that it touched.
CREATE INDEX insert_of_design ON mould_insert (design_id);
CREATE INDEX insert_of_release ON mould_insert (release_id);
CREATE INDEX order_of_customer ON customer_order (customer);
CREATE INDEX print_on_machine ON print (machine_id, started_at);
CREATE INDEX print_on_carrier ON print (carrier);
CREATE INDEX release_of_program ON design_release (program);
CREATE INDEX layers_by ON layers_made (by_badge, at);
CREATE INDEX draw_by ON draw (by_badge, at);
CREATE INDEX drying_in ON drying (oven, started_at);
CREATE INDEX tempering_in ON tempering (oven, started_at);
CREATE INDEX load_in_furnace ON furnace_load (furnace_id, door_closed_at);
CREATE INDEX load_by_recipe ON furnace_load (recipe);
CREATE INDEX load_item_placed_by ON load_item (placed_by, placed_at);
CREATE INDEX tempering_by_recipe ON tempering (recipe);
CREATE INDEX weighing_on_gauge ON weighing (gauge_id, at);
CREATE INDEX green_size_of_gauge ON green_size (gauge_id, at);
CREATE INDEX result_by ON result (by_badge, at);
CREATE INDEX fit_in_mould ON fit_up (mould_id);
CREATE INDEX step_started_by ON insert_step (started_by, started_at);
CREATE INDEX step_finished_by ON insert_step (finished_by, finished_at);
CREATE INDEX step_of_operation ON insert_step (operation, started_at);
CREATE INDEX delivery_of_mould ON delivery (mould_id);
CREATE INDEX lot_of_certificate ON lot (certificate);
CREATE INDEX coupon_of_machine ON coupon (machine_id);
