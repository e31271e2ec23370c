# %% [markdown]
# # Second-hand drives: what does late entry do to the answer, and how is it done right?
#
# A drive bought used has survived years that nobody here watched. Had it failed in them, it would not have
# been bought. Its life in this fleet starts late: at an age, not at 0. Here is a fleet of which the truth is
# known, because it is invented, and four ways to read it: the right one, and three that look as good.

# %%
import matplotlib.pyplot as plt
import numpy as np
import pandas as pd

import reliability as rel

# %% [markdown]
# ## A fleet with a known truth
#
# Drives wear out: the hazard rises with the square of the age (a Weibull life of shape 3), and 8.4 % fail by
# 4 years of age. The fleet is watched for 1,500 days, and drives join it evenly over that time. Half of them
# come new, half second-hand, 0.5 to 4 years old. A second-hand drive can only fail at ages after its entry,
# so its age at failure is drawn given that it lives at entry. Ages are known to the day, as from daily
# snapshots.

# %%
YEAR = 365
DRIVES = 6000
WATCHED = 1500  # days
FOUR_YEARS = 4 * YEAR

true_shape, true_share = 3.0, 0.084  # the share that fails by 4 years
true_scale = FOUR_YEARS / (-np.log1p(-true_share)) ** (1 / true_shape)

rng = np.random.default_rng(1)
second_hand = rng.random(DRIVES) < 0.5
entry = np.where(second_hand, rng.integers(YEAR // 2, FOUR_YEARS, DRIVES), 0)
last_age = entry + rng.integers(1, WATCHED, DRIVES, endpoint=True)  # when the watching ends
hazard_left = rng.exponential(size=DRIVES)  # how much more of it a drive withstands after its entry
age_at_failure = np.ceil(true_scale * ((entry / true_scale) ** true_shape + hazard_left) ** (1 / true_shape))
exit_age = np.minimum(age_at_failure, last_age)
outcome = np.where(age_at_failure <= last_age, "failed", "in service")

print(
    f"{DRIVES:,} drives, {second_hand.sum():,} of them second-hand; {(outcome == 'failed').sum()} failures seen"
)

# %% [markdown]
# ## One right way and two wrong ones to set the ages
#
# * **Right:** a drive is at risk from its age at entry to its age at exit. It counts at an age only if it was
#   watched at it.
# * **From first sight:** the day a drive came counts as age 0. That mixes new drives with drives of four
#   years.
# * **Entry ignored:** ages are right, but each drive counts as if watched from age 0. That adds years in
#   which a failure could not be seen, because the drives that failed in them never came here.

# %%
at_0 = np.zeros(DRIVES)
tables = {  # exact=False: of an age known to the day, the hour of the failure is not
    "right": rel.risk_table(entry, exit_age, outcome, exact=False),
    "from first sight": rel.risk_table(at_0, exit_age - entry, outcome, exact=False),
    "entry ignored": rel.risk_table(at_0, exit_age, outcome, exact=False),
}
curves = {name: rel.kaplan_meier(table) for name, table in tables.items()}
for name, curve in curves.items():
    print(f"{name}: {curve}")

# %% [markdown]
# The curves, as the share that has failed, beside the truth:

# %%
ages = np.linspace(0, 5 * YEAR, 200)
styles = {"right": "-", "from first sight": ":", "entry ignored": "--"}
figure, axes = plt.subplots(figsize=(8, 4.5))
axes.plot(
    ages / YEAR,
    100 * -np.expm1(-((ages / true_scale) ** true_shape)),
    color="0.7",
    linewidth=5,
    label="truth",
)
for name, curve in curves.items():
    steps = curve.to_frame().head(curve.shown)
    axes.step(steps["age_days"] / YEAR, 100 * (1 - steps["survival"]), styles[name], where="post", label=name)
axes.set(
    xlim=(0, 5), ylim=(0, 25), xlabel="Age, years", ylabel="Failed, %", title="Share that has failed by age"
)
axes.legend()
plt.show()

# %% [markdown]
# In numbers, at 4 years:

# %%
at_4_years = [rel.survival_at(table, [FOUR_YEARS])[0] for table in tables.values()]
failed = 1 - pd.DataFrame(at_4_years, index=list(tables))[["survival", "high", "low"]]
failed.columns = ["failed", "low", "high"]  # the upper limit of survival is the lower one of failure
print(f"Truth: {true_share:.1%} fail by 4 years")
print(failed.map("{:.1%}".format))

holds_truth = (failed["low"] <= true_share) & (true_share <= failed["high"])
assert holds_truth.to_dict() == {"right": True, "from first sight": False, "entry ignored": False}

# %% [markdown]
# The limits of the wrong ones are as narrow as those of the right one. More drives would make them narrower
# still, about a wrong value: a wrong time scale is not noise, and no interval tells of it.
#
# ## The Weibull fit
#
# The same lives, the same mistakes. The truth is shape 3. Ages from first sight hide most of the wear, since
# old drives fail "early". Ignored entry exaggerates it, since the young ages are filled with years that could
# hold no failure.

# %%
fits = {name: rel.weibull(table) for name, table in tables.items()}
print(f"Truth: shape {true_shape:g}, scale {true_scale:,.0f} days")
for name, fit in fits.items():
    print(f"{name}: {fit}")

# %%
shapes = pd.DataFrame(
    {name: fit.to_frame().set_index("quantity").loc["shape"] for name, fit in fits.items()}
).T
holds_shape = (shapes["low"] <= true_shape) & (true_shape <= shapes["high"])
assert holds_shape.to_dict() == {"right": True, "from first sight": False, "entry ignored": False}

# %% [markdown]
# ## The rate
#
# Failures over the time in which they could be seen are a rate. Failures over all power-on time are not: the
# hours before entry belong to a fleet whose failures we never saw. The true rate is known, too: the failures
# that the true hazard expects in the ages watched, over the same time.

# %%
failures = tables["right"].failures
right_rate = rel.Rate(failures, round(tables["right"].drive_days))
wrong_rate = rel.Rate(failures, round(exit_age.sum()))  # all power-on time
expected = ((exit_age / true_scale) ** true_shape - (entry / true_scale) ** true_shape).sum()
true_rate = expected / right_rate.drive_years
share_told = right_rate.drive_years / wrong_rate.drive_years

print(f"Truth: {true_rate:.2%} a year")
print(f"right: {right_rate}")
print(f"over all power-on time: {wrong_rate}")
print(f"The second tells {share_told:.0%} of the first.")

assert right_rate.interval().contains(true_rate)
assert not wrong_rate.interval().contains(true_rate)
assert round(share_told, 2) == 0.63

# %% [markdown]
# A rate is an average over the ages met, and this fleet wears. By age band it says more:

# %%
by_age = rel.hazard(tables["right"]).to_frame()
print(by_age[["age_from_days", "age_to_days", "failures", "drive_years", "rate", "low", "high"]].round(4))

# %% [markdown]
# ## Are the second-hand drives worse?
#
# They fail more often per year watched. But they are older. The log-rank test compares them with the new ones
# age by age, and here, where both are of one kind, it finds no difference. On the scale of first sight it
# finds a large one.

# %%
groups = {"new": ~second_hand, "second-hand": second_hand}
at_same_age = rel.logrank(
    [rel.risk_table(entry[who], exit_age[who], outcome[who]) for who in groups.values()]
)
since_seen = rel.logrank(
    [rel.risk_table(at_0[who], (exit_age - entry)[who], outcome[who]) for who in groups.values()]
)
for name, who in groups.items():
    print(f"{name}: {rel.Rate(int((outcome[who] == 'failed').sum()), round((exit_age - entry)[who].sum()))}")
print(f"at the same age: {at_same_age}")
print(f"from first sight: {since_seen}")

assert at_same_age.test is not None
assert since_seen.test is not None
assert at_same_age.test.p_value > 0.05
assert since_seen.test.p_value < 0.001

# %% [markdown]
# ## Was that luck, and does it depend on how drives fail?
#
# One fleet proves little: 95 % limits miss the truth once in twenty times, also where all is done right. So
# here are 100 fleets of each of three kinds: with a hazard that falls with age (shape 0.6), stays (1) and
# rises (3).

# %%
FLEETS = 100
found = []
for shape, share in {0.6: 0.107, 1.0: 0.0645, 3.0: 0.084}.items():
    scale = FOUR_YEARS / (-np.log1p(-share)) ** (1 / shape)
    for _ in range(FLEETS):
        withstood = (entry / scale) ** shape + rng.exponential(size=DRIVES)
        failing = np.ceil(scale * withstood ** (1 / shape))
        seen_to = np.minimum(failing, last_age)
        end = np.where(failing <= last_age, "failed", "in service")
        readings = {
            "right": (entry, seen_to),
            "from first sight": (at_0, seen_to - entry),
            "entry ignored": (at_0, seen_to),
        }
        for reading, (begins, ends) in readings.items():
            [at] = rel.survival_at(rel.risk_table(begins, ends, end), [FOUR_YEARS])
            found.append((shape, share, reading, at.survival, at.low, at.high))

fleets = pd.DataFrame(found, columns=["shape", "truth", "reading", "survival", "low", "high"])
fleets["failed"] = 1 - fleets["survival"]
fleets["limits hold truth"] = fleets["low"].le(1 - fleets["truth"]) & fleets["high"].ge(1 - fleets["truth"])
summary = fleets.groupby(["shape", "truth", "reading"])[["failed", "limits hold truth"]].mean()
print("Share failed by 4 years, mean of the fleets, and how often the limits hold the truth")
print(summary.map("{:.1%}".format))

# %% [markdown]
# Ignored entry tells too little each time. Ages from first sight err downwards where the hazard falls and
# upwards where it rises; they do no harm only where age does not matter, and whether it does is what one
# wanted to find out.

# %%
held = fleets.pivot_table("limits hold truth", index="shape", columns="reading")
first_sight = held["from first sight"]
assert held["right"].between(0.90, 0.99).all()
assert (held["entry ignored"] < 0.10).all()
assert (first_sight[[0.6, 3.0]] < 0.50).all()
assert (first_sight[[1.0]] > 0.85).all()

# %% [markdown]
# ## What to keep
#
# * Give each life its age at entry: `rel.risk_table(entry, exit, outcome)`. A store does it by itself from
#   the power-on hours: `store.risk_table(model)`.
# * Where nobody was watched at the young ages, the curve starts later and says "given alive at age ..". What
#   came before cannot be had from these drives.
# * It all rests on one assumption: drives that came used are like those that stayed elsewhere, age by age. If
#   the seller kept the good ones, or sold worn ones on, no method here can tell; the log-rank test above is a
#   first look.
#
# ## Before you act on it
#
# These are shares of many drives. They say of no single drive whether or when it fails, and a drive that has
# lasted is not safe for that. Redundancy is no backup, and a low rate is none either: keep copies that a
# failed drive, array or site cannot take along.
