-- Where each life was, with the model's shown name.
select w.serial, m.model, cast(w.life as int) as life, w.site, w.rack, w.batch, w.first_day, w.last_day, w.entry_age_days, w.fails
from whereabouts w join models m using (model_key)
order by w.serial, m.model, w.life, w.first_day
