-- Verdicts are counted for the group and by site: one index serves both.
DROP INDEX standing_verdict;
CREATE INDEX standing_verdict ON standing (verdict, scope) WHERE urgency IS NOT NULL;
