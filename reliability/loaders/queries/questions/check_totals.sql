-- Each check with its distinct drives, rows and findings.
select "check", count(distinct case when serial is not null then (serial, coalesce(model, '')) end) as drives,
  cast(sum(rows) as bigint) as rows, count(*) as findings
from checks group by "check"
