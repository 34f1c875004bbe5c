# Writes student_t.csv: quantiles of Student's t, the incomplete beta function
# by mpmath 1.3 at 30 digits, inverted by halving.
# python3 student_t.py > student_t.csv
from mpmath import betainc, mp, mpf, nstr

mp.dps = 30


def below(t, df):
    return 1 - betainc(mpf(df) / 2, mpf(1) / 2, 0, df / (df + t * t), regularized=True) / 2


def quantile(p, df):
    low, high = mpf(0), mpf(100)
    for _ in range(90):
        middle = (low + high) / 2
        if below(middle, df) < p:
            low = middle
        else:
            high = middle
    return low


print("p,df,t")
for p in ("0.95", "0.975", "0.995"):
    for df in (2, 3, 4, 5, 6, 9, 10, 19, 30, 99, 999):
        print(f"{p},{df},{nstr(quantile(mpf(p), df), 15)}")
