-- Who reported twice in this month: drives looked at now, and those of earlier loads that were not.
select code, serial, model_read, first_day, rows, detail from repeats_before where serial not in (select serial from awkward)
union all
select code, serial, model_read, first_day, rows, detail from new_repeats
