-- +goose Up
-- Coupons: the factors that one was made with, where they are not its print's
-- or its release's; and readings that a later one corrects.
ALTER TABLE coupon ADD COLUMN kx_text TEXT COLLATE "C" NOT NULL DEFAULT '';
ALTER TABLE coupon ADD COLUMN ky_text TEXT COLLATE "C" NOT NULL DEFAULT '';
ALTER TABLE coupon ADD COLUMN kz_text TEXT COLLATE "C" NOT NULL DEFAULT '';
ALTER TABLE coupon_result ADD COLUMN corrected_by BIGINT;
